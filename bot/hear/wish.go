package hear

// wishes notes where in the message a wish has been spoken.
func (r *reader) wishes() {
	r.wished = make([]bool, len(r.toks))
	wish := false
	for i, t := range r.toks {
		r.wished[i] = wish
		switch {
		case t.breaks() && !t.is("\n"), t.in("have", "got", "using", "with", "is", "are", "its", "im", "were", "we", "but") && t.kind == wordToken && !wishesAhead(r, i):
			if t.breaks() || t.in("have", "got", "using", "but") {
				wish = false
			}
		case t.kind == wordToken && wishWords[t.text]:
			wish = true
		case t.in("looking", "going", "hoping", "aiming", "after") && r.at(i+1).in("for", "something", "a", "some", "to"):
			wish = true
		case t.in("like", "love") && r.at(i-1).in("would", "id", "wed", "shed", "hed", "theyd", "clients"):
			wish = true
		case t.is("get") && r.at(i-1).in("to", "i", "we", "can") && (r.at(i-2).in("how", "can", "could", "trying", "do") || r.at(i-1).is("to")):
			wish = true
		case t.in("make", "keep", "lets", "give", "go") && (i == 0 || r.toks[i-1].pauses() || r.toks[i-1].in("to", "please", "pls", "you", "and", "just", "lets", "can", "we", "now", "but")):
			wish = true
		case t.in("please", "pls", "plz"):
			// a wish that ends in please: all of its clause is one
			for j := i; j >= 0 && !r.toks[j].breaks(); j-- {
				r.wished[j] = true
			}
		}
	}
}

func wishesAhead(r *reader, i int) bool { return wishWords[r.at(i+1).text] }

var wishWords = set(`want wants wanting wanna wnt wantd wanted wana need needs needed prefer prefers wish wishes trying try aim goal must should brief asks asked
	desire require requires requested vibe mood feel style would please fancy fancies chasing achieve create`)
