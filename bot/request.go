package bot

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"panelhand/bot/hear"
	"panelhand/bot/memory"
	"panelhand/rules/fact"
)

// A deed is what a message asks of the memory.
type deed int

const (
	noDeed deed = iota
	saveSetup
	addNote
	find
	listPlaybook
	showKit
	putKit
	dropKit
	clearKit
	deleteOne // a note, a record, a venue's notes or a person, by name
	showOne   // what is kept of one name
	renameOne
	lightAgain // as a record was lit
	whoSees    // what is kept
	forgetTalk
	export
	calibrate
	makeRule // of the set-up that stands
	listDrafts
	showDraft
	approveDraft
	refuseDraft
	ruleHistory
	ruleDiff
	revertRule
	reportWrong // an answer
)

// A request is a message to the memory, taken apart. What is a title or a
// note is kept word for word and never heard as anything else.
type request struct {
	deed   deed
	before string // a message of its own that stood in front
	head   string // the part that may be heard as facts
	text   string // a title, a note, kit, a query or a draft's number, as typed
	why    string // the reason of a rule or a refusal, as typed
	venue  string
	verb   string // as typed, where what is asked for depends on it
	note   string // said beside a title
	to     string // the new name of what is renamed
	format string // of an export
}

// The grammar of requests. What the verbs mean stands in the playbook's words
// (words/asks.yaml, words/memory.yaml); here is which part of the message is
// verb, title, place or note.
var (
	polite  = `^\s*(?:(?:please|pls|plz|hey|hi|ok|okay|nice|great|good|perfect|lovely|thanks|thx|and|then|now|yes|yep|sure|no|can you|could you|can we|could we|lets|let['’]?s|i|we|looks\s+(?:good|fine|great)|lgtm|not\s+(?:that|this)\s+one|coach)\b[\s,.!:]*|[^\p{L}\p{N}"“'\s]+\s*)*`
	form    = func(pattern string) *regexp.Regexp { return regexp.MustCompile(`(?is)` + polite + pattern) }
	kitList = `(?:(?:my|our|the|the crew['’]?s|crew)\s+)?(?:kit|gear)(?:\s+list)?`
	kitOf   = `(?:(?:my|our|the|the crew['’]?s|crew)\s+)?(?:kit|gear|bag)(?:\s+list)?`

	because  = `(?:(?:\s*[,;:]\s+|\s*[–—]\s*|\s+-\s+|\s+)(?:because|cos|since)\b[\s,:]*(?P<why>.+?)|(?:\s*[,;:]\s+|\s*[–—]\s*|\s+-\s+)(?P<too>.+?))?\s*[.!]*$`
	thanks   = regexp.MustCompile(`(?i)[\s,]+(?:please|pls|plz|thanks|thx|ta)\s*[.!]*\s*$`)
	thisOne  = `(?:this|that|it|these)(?:\s+(?:one|set-?\s?up|look|light))?`
	draftNo  = `(?:the\s+)?(?:draft|rule)s?\s*(?:no\.?\s*|number\s*)?#?\s*(?P<text>\d+)?`
	ruleThis = form(`(?:make|turn|save|add|keep|draft|write)\s+(?:` + thisOne + `\s+(?:in\s?to\s+|to\s+|as\s+)?(?:(?:a|an|our|one\s+of\s+our|the)\s+)?|(?:in\s?to\s+|to\s+|as\s+)?(?:a|an|our|one\s+of\s+our|the)\s+)(?:new\s+|own\s+)?(?:playbook\s+|house\s+|crew\s+)?rules?(?:\s+(?:from|of|out\s+of)\s+(?:this|that|it))?(?:\s*[:,.?!]*\s*(?:(?:and\s+)?(?:call|name)\s+it|called|named|as)\s+(?P<text>.+?))?` + because)
	drafts   = form(`(?:(?:show(?:\s+me)?|list|any|what|which)\b[\s\w'’]{0,24}?)?\b(?:drafts|(?:pending|waiting|open)\s+(?:rules?|drafts?))(?:\s+(?:are\s+)?(?:pending|waiting|open|there))?\s*[?.!]*$`)
	draft    = form(`(?:show(?:\s+me)?|see|read|what(?:['’]?s|\s+is|\s+does)(?:\s+in)?|open)?\s*(?:the\s+)?draft\s*(?:no\.?\s*|number\s*)?#?\s*(?P<text>\d+)(?:\s+(?:say|do|change|look\s+like))?\s*[?.!]*$`)
	approve  = form(`(?:(?:approved?|accept|sign\s+off(?:\s+on)?)(?:\s+(?:it|that|this))?(?:\s+(?:` + draftNo + `|#?(?P<alone>\d+)))?|(?:yes\s+to|go\s+with)\s+` + strings.Replace(draftNo, "text", "yes", 1) + `)\s*[.!]*$`)
	refuse   = form(`(?:reject|refuse|turn\s+down|decline|discard|withdraw|drop|delete|no\s+to)\s+` + strings.Replace(draftNo, "(?:draft|rule)s?", "draft", 1) + because)
	refuseIt = form(`(?:reject|refuse|turn\s+down|(?P<verb>turn))\s+(?:it|that|this)(?:\s+down)?` + because)
	history  = form(`(?:show(?:\s+me)?\s+)?(?:the\s+)?(?:history|versions)\s+(?:of|for)\s+(?:the\s+)?(?:rule\s+)?(?P<text>.+?)\s*[?.!]*$`)
	whose    = form(`who\s+(?:has\s+)?(?:changed|made|wrote|approved|drafted|edited)\s+(?:the\s+)?(?:rule\s+)?(?P<text>.+?)\s*[?.!]*$`)
	whatsNew = form(`(?:what\s+(?:(?:has\s+|was\s+)?changed|did\s+(?:we|they|you|i)\s+change)\s+in|what['’]?s\s+changed\s+in|(?:show\s+)?(?:the\s+)?(?:diff|changes)\s+(?:of|in|to|for))\s+(?:the\s+)?(?:rule\s+)?(?P<text>.+?)\s*[?.!]*$`)
	revert   = form(`(?:(?:revert|roll\s*back|take\s+back)\s+(?:the\s+)?(?:rule\s+)?|undo\s+(?:the\s+|our\s+)?rule\s+)(?P<text>.+?)(?:\s+(?:back\s+)?to\s+(?:(?:the|its|what)\s+)?(?:old|last|previous|earlier|first|before|it\s+was)\b.*?)?` + because)
	wrong    = form(`(?:(?:that|this|it)(?:\s+(?:answer|one|set-?\s?up|advice|suggestion))?\s*(?:['’]?s|\s+is|\s+was)\s+(?:just\s+|all\s+|plain\s+|simply\s+)?wrong|wrong\s+answer)\b[\s:;,.!–—-]*(?:because\s+|since\s+|cos\s+)?(?P<text>.*?)\s*$`)

	saveAs     = form(`(?:save|keep|store|file|bookmark|log|remember)(?:\s+(?:this|that|it|these))?(?:\s+(?:one|set-?\s?up|look|light))?\s+as\b[\s:]*(?P<text>.*)$`)
	nameIt     = form(`name\s+(?:it|this|that)(?:\s+(?:one|set-?\s?up|look|light))?\s+(?:as\s+)?(?P<text>.+)$`)
	howItWent  = regexp.MustCompile(`(?is)^(?P<text>.+?)\s*(?:[,;.]\s+|\s[-–—]\s*|\()\s*(?P<note>(?:(?:it|that|this|they|she|he|we|client|the\s+client|everyone|all)\s+)?(?:(?:really|just|all)\s+)?(?:worked|works|went|was|were|looked|looks|loved|liked|great|good|perfect|lovely|brilliant|best|a\s+keeper|keeper)\b.*?)\)?\s*$`)
	renamed    = form(`(?:rename|re-?title|re-?label|change\s+the\s+name\s+of)\s+(?P<text>.+?)\s+(?:to|in\s?to|as|->|=>|→)\s+(?P<to>.+?)\s*[.!]*$`)
	callIt     = form(`(?:call|name|rename|title)\s+(?P<text>it|that|this)(?:\s+one)?\s+(?:to\s+|as\s+)?(?P<to>.+?)\s+(?:instead|rather)\s*[.!]*$`)
	again      = form(`(?P<verb>(?:(?:the\s+)?same(?:\s+(?:again|thing|set-?\s?up|light|look))?|again|do\s+(?:it|that)(?:\s+again)?|light\s+(?:it|this|her|him|them)|set\s+(?:it|this)\s+up|back|as)\s+(?:as|like|with|to|in)|re-?light|repeat|recreate|redo|load|bring\s+back|use|back\s+to)\s+(?P<text>.+?)\s*[.!?]*$`)
	showIt     = form(`(?P<verb>(?:show|give|get|find|open|recall|look\s+up|pull\s+up|bring\s+up|read|what(?:['’]?s|\s+is|\s+was|\s+about)|any(?:thing)?(?:\s+(?:notes?|kept|saved|known))?\s+(?:on|about|for|from|at))(?:\s+(?:me|us))?)\s+(?P<text>.+?)\s*[.!?]*$`)
	whatIsKept = `\b(?:notes?|records?|drafts?|kit\s+list|saved\s+(?:ones|set-?\s?ups?)|(?:what|things|everything|all|stuff)\s+(?:that\s+)?(?:i|we)\s+(?:save|saved|keep|kept|write|wrote|note|noted|say|said|type|tell\s+you))\b`
	whoMay     = form(`(?:who(?:['’]?s|\s+else)?\s+(?:(?:can|could|may|gets?\s+to|is\s+able\s+to|will|all)\s+)?(?:sees?|reads?|finds?|looks?\s+at|has\s+access\s+to)\b[^.!,\n]{0,20}?` + whatIsKept + `|(?:are|is|do|does|can)\b[^.!,\n]{0,30}?` + whatIsKept + `[^.!,\n]{0,24}?\b(?:private|visible|public|shared|secret)\b|can\s+(?:anyone|anybody|others?|the\s+others|everyone|the\s+leads?)\b[^.!,\n]{0,20}?\b(?:see|read|find)\b[^.!,\n]{0,20}?` + whatIsKept + `).*$`)
	ofDrills   = regexp.MustCompile(`(?i)\b(?:drills?|progress|week|marks?|results?|scores?)\b`)
	saveThis   = form(`(?:save|store|bookmark|log)\s+(?:this|that|it|the)(?:\s+(?:one|set-?\s?up|look))?(?:\s+(?:to|in)\s+(?:the |our |my )?(?:playbook|notes|records))?\s*[.!?]*$`)
	saveBare   = form(`save\s*[.!?]*$`)
	noteFor    = form(`(?:(?:add|make|take|write|leave|put)\s+)?(?:a\s+|another\s+)?(?:(?:venue\s+|site\s+)?note|correction|update|new\s+rule)\s+(?:for|about|on|at)\s+(?P<venue>[^:;\n]{2,60}?)\s*(?::|;|\s[-–—]\s)\s*(?P<text>.*)$`)
	noteComma  = form(`(?:(?:add|make|take|write|leave|put)\s+)?(?:a\s+|another\s+)?(?:venue\s+|site\s+)?note\s+(?:for|about|on|at)\s+(?P<venue>[^,:;\n]{2,60}?)\s*,\s*(?P<text>.+)$`)
	note       = form(`(?:(?:(?:add|make|take|write|leave)\s+)(?:a\s+|another\s+)?notes?(?:\s+to\s+self)?|note(?:\s+to\s+self|\s+that)?\s*[:,-]|note\s+(?:to\s+self|that)|jot\s+down|write\s+(?:this|that)\s+down|remember(?:\s+this)?\s*:|remember\s+that|log\s*:)[\s:,-]*(?P<text>.*)$`)
	kitPut     = form(`(?:(?:save|set|update|store|change)\s+` + kitList + `\b|` + `(?:my|our|the crew['’]?s)\s+(?:kit|gear)(?:\s+list)?\s*(?:is\b|:|=))[\s:=-]*(?P<text>.+)$`)
	kitAdd     = form(`(?:add|put)\s+(?P<text>.+?)\s+(?:to|in|on|into)\s+` + kitList + `\s*[.!]*$`)
	kitDrop    = form(`(?:remove|delete|take|drop|cross|strike)\s+(?P<text>.+?)\s+(?:from|off|out of)\s+` + kitList + `\s*[.!]*$`)
	kitClear   = form(`(?:forget|clear|delete|wipe|empty|remove|erase)\s+(?:(?:everything|all)\s+(?:in|from|off)\s+)?` + kitList + `\s*[.!]*$`)
	kitShow    = form(`(?:(?:what['’]?s|what\s+is|whats|wots|what\s+(?:kit|gear)\s+do\s+(?:i|we)\s+have|what\s+do\s+(?:i|we)\s+have|which\s+(?:kit|gear)\s+do\s+(?:i|we)\s+have|show(?:\s+me)?|list|read(?:\s+me)?)\b[^.,;:\n]{0,12}?\b` + kitOf + `|kit\s+list|(?:my\s+|our\s+)?kit\s*\?|what\s+(?:kit|gear)\s+do\s+(?:i|we)\s+have)\s*[?.!]*$`)
	ourKit     = form(`(?:my|our|the crew['’]?s)\s+[\p{L} -]{3,24}?\s*(?:\b(?:is|are|has|have|does|gives|goes|recycles|syncs|weighs|takes)\b|=|:)\s*(?P<text>.+)$`)
	crewOwns   = regexp.MustCompile(`(?i)\bthe crew['’]?s\s+`)
	exportThem = form(`(?:export\b|(?:can\s+(?:i|we)\s+(?:have|get)|give\s+(?:me|us)|send\s+(?:me|us))\s+(?:everything|all\s+of\s+it|(?:my|our|the)\s+(?:notes|records|playbook))\s+(?:as|in)\s+(?:a\s+file|one\s+file|yaml|markdown)\b)(?P<text>.*)$`)
	remove     = form(`(?P<verb>delete|remove|erase|wipe|scrap|forget|bin|trash|ditch|get\s+rid\s+of)\s+(?P<text>.+?)\s*[.!]*$`)
	theTalk    = regexp.MustCompile(`(?i)^(?:everything|all of (?:it|this)|this (?:thread|chat|talk|conversation)|the (?:thread|chat|talk|conversation)|our (?:chat|talk)|all i said|what i said)$`)
	whichOne   = regexp.MustCompile(`(?i)^(?:(?:the|that|my|our|this)\s+)?(?:notes?|records?|entry|entries|set-?\s?ups?|venue|place|person|everything|all|anything)?\s*(?:(?:on|about|for|called|named|of|from|at)\s+)?(?:the\s+)?`)
	later      = regexp.MustCompile(`(?is)^(?P<before>.{8,}?)[.;,!\n]\s*(?:and\s+|then\s+|please\s+|pls\s+)*(?P<rest>save\s+(?:this|that|it)\s+as\b.*)$`)
	testFrame  = regexp.MustCompile(`(?i)\b(?:test\s+(?:frame|shot|pop|flash|exposure)s?|calibrat(?:e|ion|ing))\b`)
	asks       = regexp.MustCompile(`(?i)\?|\b(?:what|whats|how|did|have we|any|show|find|remind|know|remember|look up|list|notes?|which|where)\b`)
	formats    = regexp.MustCompile(`(?i)\b(?:yaml|yml|playbook file|markdown|md)\b`)
)

// group returns a named part of a form's match, trimmed.
func group(re *regexp.Regexp, m []string, name string) string {
	if i := re.SubexpIndex(name); i >= 0 && i < len(m) {
		return strings.TrimSpace(m[i])
	}
	return ""
}

// request takes a message apart; noDeed is that of one that is not for
// the memory. Reading is the message as heard, in its thread.
func (c *Coach) request(text string, reading hear.Reading) request {
	if m := later.FindStringSubmatch(text); m != nil {
		if before := group(later, m, "before"); saysLight(c.ear.Read(before, nil).Facts) && !note.MatchString(text) && !noteFor.MatchString(text) {
			r := c.request(group(later, m, "rest"), reading)
			r.before = before
			return r
		}
	}
	if r := ofPlaybook(text); r.deed != noDeed {
		if r.deed == reportWrong && !c.ear.Read(r.text, nil).Facts.Empty() {
			r.before = r.text // what is wrong is a follow-up of its own
		}
		return r
	}
	if r := c.wordForWord(text); r.deed != noDeed {
		return r
	}
	if whoMay.MatchString(text) && !ofDrills.MatchString(text) {
		return request{deed: whoSees}
	}
	if r := c.kitRequest(text, reading); r.deed != noDeed {
		return r
	}
	if testFrame.MatchString(text) && !reading.Facts.Empty() && !has(reading.Facts, "faults") {
		measured, _ := shotAt(text, reading.Facts)
		if _, ok := reading.Facts.Item("flash", "strobe"); measured > 0 && ok && shotPower(text, reading.Facts) > 0 {
			return request{deed: calibrate, head: text, text: text}
		}
	}
	if r := c.lookUp(text, reading); r.deed != noDeed {
		return r
	}
	return byName(text)
}

// byName finds the requests that name what is kept. Whether it is kept is seen
// when they are answered: "use the window" names nothing.
func byName(text string) request {
	text = thanks.ReplaceAllString(text, "")
	for _, one := range []struct {
		re   *regexp.Regexp
		deed deed
	}{
		{callIt, renameOne}, {renamed, renameOne}, {again, lightAgain}, {showIt, showOne},
	} {
		if m := one.re.FindStringSubmatch(text); m != nil {
			return request{deed: one.deed, text: unquoted(group(one.re, m, "text")), to: unquoted(group(one.re, m, "to")), verb: strings.ToLower(group(one.re, m, "verb"))}
		}
	}
	return request{}
}

// ofPlaybook finds the requests about the team's own rules.
func ofPlaybook(text string) request {
	text = thanks.ReplaceAllString(text, "")
	for _, one := range []struct {
		re   *regexp.Regexp
		deed deed
	}{
		{ruleThis, makeRule}, {drafts, listDrafts}, {draft, showDraft}, {approve, approveDraft}, {refuse, refuseDraft},
		{refuseIt, refuseDraft}, {history, ruleHistory}, {whose, ruleHistory}, {whatsNew, ruleDiff}, {revert, revertRule}, {wrong, reportWrong},
	} {
		if m := one.re.FindStringSubmatch(text); m != nil {
			text := cmp.Or(group(one.re, m, "text"), group(one.re, m, "alone"), group(one.re, m, "yes"))
			return request{deed: one.deed, text: unquoted(text), why: cmp.Or(group(one.re, m, "why"), group(one.re, m, "too")), verb: strings.ToLower(group(one.re, m, "verb"))}
		}
	}
	return request{}
}

// wordForWord finds the requests whose rest is kept word for word.
func (c *Coach) wordForWord(text string) request {
	for _, one := range []struct {
		re   *regexp.Regexp
		deed deed
	}{
		{noteFor, addNote}, {noteComma, addNote}, {note, addNote}, {saveAs, saveSetup}, {nameIt, saveSetup}, {saveThis, saveSetup}, {saveBare, saveSetup},
	} {
		m := one.re.FindStringSubmatch(text)
		if m == nil {
			continue
		}
		r := request{deed: one.deed, text: group(one.re, m, "text"), venue: trimThe(group(one.re, m, "venue"))}
		r.head = strings.TrimSuffix(strings.TrimSpace(text), r.text)
		if one.re == saveAs || one.re == nameIt {
			r.text = thanks.ReplaceAllString(r.text, "")
			if m := howItWent.FindStringSubmatch(r.text); m != nil {
				r.text, r.note = group(howItWent, m, "text"), group(howItWent, m, "note")
			}
			r.text = unquoted(r.text)
		}
		return r
	}
	return request{}
}

func unquoted(s string) string { return strings.TrimSpace(strings.Trim(s, "\"“”'‘’ \t\n")) }

func trimThe(s string) string {
	if len(s) > 4 && strings.EqualFold(s[:4], "the ") {
		return strings.TrimSpace(s[4:])
	}
	return s
}

// kitRequest finds requests about the kit list. "Our flash is …" is one only
// where it tells something lasting and nothing else is wanted: "our flash is
// too hard" is about the picture.
func (c *Coach) kitRequest(text string, reading hear.Reading) request {
	switch {
	case kitShow.MatchString(text):
		return request{deed: showKit}
	case kitClear.MatchString(text):
		return request{deed: clearKit}
	}
	if m := kitDrop.FindStringSubmatch(text); m != nil {
		return request{deed: dropKit, text: group(kitDrop, m, "text")}
	}
	if m := kitAdd.FindStringSubmatch(text); m != nil {
		return request{deed: putKit, text: group(kitAdd, m, "text"), head: text}
	}
	if m := kitPut.FindStringSubmatch(text); m != nil {
		said := group(kitPut, m, "text")
		if strings.Contains(strings.ToLower(text[:strings.Index(text, said)]), "save") || !wishes(reading.Facts) {
			return request{deed: putKit, text: said, head: text}
		}
	}
	if ourKit.MatchString(text) {
		reading = c.ear.Read(crewOwns.ReplaceAllString(text, "our "), nil) // the crew is not in the picture
		if wishes(reading.Facts) || has(reading.Facts, "subject.traits") {
			return request{}
		}
		if listed := kitFrom(reading, text); lasting(listed) {
			return request{deed: putKit, text: text, head: text}
		}
	}
	return request{}
}

// lasting reports whether kit tells more than its kind and what is dialled now.
func lasting(k memory.KitList) bool {
	for _, i := range k.Items {
		if i.SizeM > 0 || i.GuideM > 0 || i.EnergyWs > 0 || i.Lux1m > 0 || i.HSS || i.Clicks > 0 || i.LowestPower > 0 || i.RecycleS > 0 || i.Charge > 0 || i.FootM > 0 || i.WeightKg > 0 || i.HeightM > 0 {
			return true
		}
	}
	return len(k.Cameras) > 0 || len(k.Lenses) > 0
}

// lookUp finds requests to find, list, delete and export.
func (c *Coach) lookUp(text string, reading hear.Reading) request {
	if m := exportThem.FindStringSubmatch(text); m != nil && (reading.Facts.Has("ask", "list") || !strings.HasPrefix(strings.ToLower(strings.TrimSpace(text)), "export")) {
		r := request{deed: export, text: group(exportThem, m, "text"), format: "markdown"}
		if f := strings.ToLower(formats.FindString(text)); strings.HasPrefix(f, "y") || strings.HasPrefix(f, "play") {
			r.format = "yaml"
		}
		return r
	}
	if m := remove.FindStringSubmatch(text); m != nil {
		what := group(remove, m, "text")
		if theTalk.MatchString(what) {
			return request{deed: forgetTalk}
		}
		name := unquoted(strings.TrimPrefix(what, whichOne.FindString(what)))
		return request{deed: deleteOne, verb: strings.ToLower(group(remove, m, "verb")), text: name, head: group(remove, m, "verb")}
	}
	recall, list := reading.Facts.Has("ask", "recall"), reading.Facts.Has("ask", "list")
	if !recall && !list || !asks.MatchString(text) || reading.Facts.Has("ask", "meaning") && !recall && !list {
		return request{}
	}
	if saysTooMuch(reading.Facts) {
		return request{}
	}
	r := request{deed: find, text: text, head: text}
	if v, ok := reading.Facts.Get("venue"); ok {
		r.venue = v.Text
	}
	if list && slices.Contains(memory.Tokens(text), "playbook") {
		r.deed = listPlaybook
	}
	return r
}

// saysTooMuch reports whether a message that looks like a search is a scene to
// light after all: it tells what is to be done, not only what to look for.
func saysTooMuch(said *fact.Set) bool {
	if len(said.Kit()) > 0 && (len(said.Choices("wants")) > 0 || len(said.Choices("says")) > 0) {
		return true
	}
	for _, dial := range []string{"camera.aperture", "camera.iso", "camera.shutter_s"} {
		if _, ok := said.Get(dial); ok && len(said.Kit()) > 0 {
			return true
		}
	}
	return false
}

func has(said *fact.Set, list string) bool { return len(said.Choices(list)) > 0 }
