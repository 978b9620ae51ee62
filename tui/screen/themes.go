package screen

// themes holds the inks of every theme. The night theme keeps to red and amber, no
// brighter than can be read on black, which cost dark-adapted eyes least; mono tells
// everything apart by weight, reversal and the shapes themselves. A test checks the
// contrast of every ink, and that what is told apart by colour is so for the colour
// blind.
var themes = map[string][styleCount]ink{
	"dark": {
		Normal: {fg: "#c8ccd4"}, Strong: {fg: "#ffffff", bold: true}, Quiet: {fg: "#8a93a3"}, Faint: {fg: "#4a5261"},
		BarSafe:  {fg: "#0d1117", bg: "#8a93a3", bold: true},
		BarArmed: {fg: "#1a1200", bg: "#f2b134", bold: true},
		BarRun:   {fg: "#00140a", bg: "#35c48d", bold: true},
		BarHeld:  {fg: "#ffffff", bg: "#c2362b", bold: true},
		BarEnded: {fg: "#e6ecf5", bg: "#3a4660", bold: true},
		ClockOff: {fg: "#8a93a3"}, ClockRun: {fg: "#e8f6ef", bold: true}, ClockHeld: {fg: "#ff7a6b", bold: true},
		Alarm: {fg: "#ff6b5e", bold: true}, Caution: {fg: "#f2b134"}, Good: {fg: "#35c48d"},
		NudgeOn: {fg: "#ffd479", bold: true}, NowLine: {fg: "#ffffff", bold: true},
		WaveAhead: {fg: "#5aa9e6"}, WaveEdge: {fg: "#4580b8"}, WavePast: {fg: "#5f7089"}, BeatMark: {fg: "#d7a6ff"},
		Ignite: {fg: "#f2b134"}, Lead: {fg: "#8f7440"}, Burst: {fg: "#ffe9b0", bold: true}, Burning: {fg: "#a8782e"},
		Gone: {fg: "#6a7388"}, Live: {fg: "#ffffff", bg: "#7a4b12", bold: true},
		DownMark: {fg: "#e8594c"}, Count: {fg: "#1a1200", bg: "#e0c074", bold: true},
		KeyName: {fg: "#ffffff", bold: true}, KeyText: {fg: "#8a93a3"},
		Selected: {fg: "#ffffff", bg: "#2d3b55"}, Heading: {fg: "#9fb6d9", bold: true}, Dialog: {fg: "#ffffff", bg: "#2d3b55", bold: true},
		MeterLow: {fg: "#35c48d"}, MeterHot: {fg: "#ff6b5e", bold: true}, TapDot: {fg: "#ffd479", bold: true},
	},
	"light": {
		Normal: {fg: "#1d2430"}, Strong: {fg: "#000000", bold: true}, Quiet: {fg: "#5b6472"}, Faint: {fg: "#b3bac6"},
		BarSafe:  {fg: "#ffffff", bg: "#5b6472", bold: true},
		BarArmed: {fg: "#1a1200", bg: "#e0a21b", bold: true},
		BarRun:   {fg: "#ffffff", bg: "#11784f", bold: true},
		BarHeld:  {fg: "#ffffff", bg: "#b3261a", bold: true},
		BarEnded: {fg: "#ffffff", bg: "#3a4660", bold: true},
		ClockOff: {fg: "#5b6472"}, ClockRun: {fg: "#000000", bold: true}, ClockHeld: {fg: "#b3261a", bold: true},
		Alarm: {fg: "#ffffff", bg: "#b3261a", bold: true}, Caution: {fg: "#8a5a00"}, Good: {fg: "#11784f"},
		NudgeOn: {fg: "#8a4a00", bold: true}, NowLine: {fg: "#000000", bold: true},
		WaveAhead: {fg: "#1f6fb2"}, WaveEdge: {fg: "#548bbd"}, WavePast: {fg: "#818a98"}, BeatMark: {fg: "#7a2fb5"},
		Ignite: {fg: "#8a5a00"}, Lead: {fg: "#a17b3a"}, Burst: {fg: "#5e2b00", bold: true}, Burning: {fg: "#aa7427"},
		Gone: {fg: "#818a98"}, Live: {fg: "#000000", bg: "#ffd27a", bold: true},
		DownMark: {fg: "#7d0f0a"}, Count: {fg: "#ffffff", bg: "#7a5a1a", bold: true},
		KeyName: {fg: "#000000", bold: true}, KeyText: {fg: "#5b6472"},
		Selected: {fg: "#000000", bg: "#d4def0"}, Heading: {fg: "#2c4a7c", bold: true}, Dialog: {fg: "#000000", bg: "#d4def0", bold: true},
		MeterLow: {fg: "#11784f"}, MeterHot: {fg: "#b3261a", bold: true}, TapDot: {fg: "#8a4a00", bold: true},
	},
	"night": {
		Normal: {fg: "#cc6634"}, Strong: {fg: "#ff9a4d", bold: true}, Quiet: {fg: "#bd603a"}, Faint: {fg: "#44201a"},
		BarSafe:  {fg: "#d8683a", bg: "#2a120e", bold: true},
		BarArmed: {fg: "#1a0a00", bg: "#c9761f", bold: true},
		BarRun:   {fg: "#e0702e", bold: true}, // a hold alone fills its bar
		BarHeld:  {fg: "#ffb27a", bg: "#7a1010", bold: true},
		BarEnded: {fg: "#d8683a", bg: "#2a120e", bold: true},
		ClockOff: {fg: "#bd603a"}, ClockRun: {fg: "#e0702e", bold: true}, ClockHeld: {fg: "#ffb09a", bold: true},
		Alarm: {fg: "#ffb27a", bg: "#7a1010", bold: true}, Caution: {fg: "#f0a548"}, Good: {fg: "#d07a34"},
		NudgeOn: {fg: "#ffdca0", bold: true}, NowLine: {fg: "#ff9a4d", bold: true},
		WaveAhead: {fg: "#c85a38"}, WaveEdge: {fg: "#ab5034"}, WavePast: {fg: "#944836"}, BeatMark: {fg: "#c8802a"},
		Ignite: {fg: "#f0a548"}, Lead: {fg: "#ad6a30"}, Burst: {fg: "#ffb04d", bold: true}, Burning: {fg: "#bd7a30"},
		Gone: {fg: "#8e4d40"}, Live: {fg: "#ffc890", bg: "#5e1a0e", bold: true},
		DownMark: {fg: "#e04630"}, Count: {fg: "#1a0a00", bg: "#c9761f", bold: true},
		KeyName: {fg: "#e0702e", bold: true}, KeyText: {fg: "#bd603a"},
		Selected: {fg: "#ffb27a", bg: "#3a1610"}, Heading: {fg: "#d8683a", bold: true}, Dialog: {fg: "#ffb27a", bg: "#3a1610", bold: true},
		MeterLow: {fg: "#a84e28"}, MeterHot: {fg: "#ff8a60", bold: true}, TapDot: {fg: "#ffd08a", bold: true},
	},
	"mono": {
		Strong: {bold: true}, Quiet: {faint: true}, Faint: {faint: true},
		BarSafe: {underline: true}, BarArmed: {bold: true, underline: true}, BarRun: {reverse: true},
		BarHeld: {reverse: true, bold: true}, BarEnded: {underline: true},
		ClockRun: {bold: true}, ClockHeld: {bold: true},
		Alarm: {bold: true, reverse: true}, Caution: {bold: true}, NudgeOn: {bold: true, underline: true}, NowLine: {bold: true},
		WaveEdge: {faint: true}, WavePast: {faint: true}, BeatMark: {bold: true},
		Lead: {faint: true}, Burst: {bold: true}, Gone: {faint: true}, Live: {reverse: true}, DownMark: {faint: true}, Count: {reverse: true},
		KeyName: {bold: true}, Selected: {reverse: true}, Heading: {bold: true}, Dialog: {reverse: true}, MeterHot: {bold: true, reverse: true}, TapDot: {bold: true},
	},
}
