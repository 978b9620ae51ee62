package console

import "testing"

func TestOrderIn(t *testing.T) {
	for text, want := range map[string]string{
		"Spotter. Person in the fallout area, by the Jetty. Hold.": "HOLD",
		"Hold until I call.":                     "HOLD",
		"Operator. Cut, cut, cut.":               "CUT",
		"Hold. No: cut!":                         "CUT",
		"Spotter. Fallout area is clear.":        "CLEAR",
		"All clear":                              "CLEAR",
		"Hold. It is not clear.":                 "HOLD",
		"Spotter. Fallout area is not clear.":    "",
		"Spotter. Test over. Resume when clear.": "",
		"Wait until it is clear":                 "",
		"It isn't clear":                         "",
		"Spotter. Person at the fence. Crowd line has it in hand.":   "",
		"They hold the line. The cut is made.":                       "",
		"Mole to desk, a person in the fallout area, I say it again": "",
		"...": "",
	} {
		if got := orderIn(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
