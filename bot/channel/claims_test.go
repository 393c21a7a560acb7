package channel_test

import (
	"testing"

	"panelhand/bot/channel"
	"panelhand/bot/channel/channeltest"
)

func TestMemoryIsClaims(t *testing.T) {
	channeltest.Claims(t, func(*testing.T) channel.Claims { return new(channel.Memory) })
}
