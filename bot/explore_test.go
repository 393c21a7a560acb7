package bot_test

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"panelhand/bot"
	"panelhand/bot/channel"
	"panelhand/bot/memory"
)

func TestExplore(t *testing.T) {
	data, err := os.ReadFile("/tmp/wt/explore.txt")
	if err != nil {
		t.Skip()
	}
	s := &bot.Session{Coach: houseCoach(t), Store: memory.New()}
	now := time.Date(2026, 5, 12, 17, 30, 0, 0, time.UTC)
	key := "a"
	for line := range strings.Lines(string(data)) {
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		if strings.HasPrefix(line, "#") {
			key = line
			continue
		}
		a, err := s.Answer(context.Background(), channel.Message{Thread: key, Text: line, Team: "tide", Now: now})
		now = now.Add(time.Minute)
		h, _ := json.Marshal(a.Heard)
		r, _ := json.Marshal(a.Record)
		fmt.Printf("\n> %s\n[%s] %v heard=%s\nrec=%.300s\n%s\n", line, a.Kind, err, h, r, a.Text)
	}
}
