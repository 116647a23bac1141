package wording

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// Dangers reported, denied, and only seemingly reported: family, what a caller
// says, and the hazards, all of them, that must be read ("-" for none). The
// sentences are the author's own; what counts as which danger is common
// practice, no source.
const dangers = `
trips: verbs with the noun between, places, and who did it
d | every time I start it, it knocks the breaker off | trips_breaker
d | it knocks all the sockets out downstairs as soon as it gets hot | trips_breaker
w | the minute the heater comes in it throws the RCD | trips_breaker
w | it takes the kitchen electrics out half way through | trips_breaker
w | it puts the lights out in the whole house when it spins | trips_breaker
w | pops the trip switch every single time | trips_breaker
d | the differential drops when I select warm | trips_breaker
d | the switch in the fuse box keeps flipping down after five minutes | trips_breaker
w | it kicked the earth leakage switch out again this morning | trips_breaker
d | when it's on the whole flat goes dark | trips_breaker
d | half the house loses power when I press start | trips_breaker
w | knocks the electrics off if I use the hot wash | trips_breaker
w | it blows the fuse in the plug after a minute | trips_breaker
w | main fuse has gone twice with this machine on | trips_breaker
w | the circuit for the laundry shuts off when it heats | trips_breaker
d | RCD goes as soon as it is plugged in | trips_breaker
d | it's sending the safety switch off mid cycle | trips_breaker
w | I have to go and push the breaker back up each time it fills | trips_breaker
w | the power cuts out in the entire house as it begins to spin | trips_breaker
w | we had no lights in the house after it banged, the board had tripped | trips_breaker
d | I switched the breaker off to be safe, the drum does not turn | -
d | I turned off the power at the board, then on again, still dead | -
w | my husband flipped the breaker off and on but it still won't fill | -
w | it stopped and I got up and threw the main switch | -
w | power cut in the whole street last night and now it is dead | -
w | there was a blackout on our estate and since then no display | -
d | it just goes dead and the display light goes out | -
d | all the lights on the panel went out and it stopped | -
d | breaker is fine, it hasn't tripped | -
w | nothing has tripped and the fuse is good | -
w | it doesn't trip anything, just will not heat | -
d | kettle tripped the switch this morning, not this machine | -
w | I turn the dial and it clicks off | -

water: where it reaches
w | water ran along the floor to the extension lead | water_near_electrics
w | it leaks and the plug is sitting in it | water_near_electrics
w | it sprayed all over the sockets at the back | water_near_electrics
w | water is dripping onto the socket under the sink | water_near_electrics
w | puddle got as far as the power strip | water_near_electrics
w | the hose came off and soaked the plug | water_near_electrics
w | it leaks through the floor and the light below is dripping | water_near_electrics
w | the drawer overflows and it runs down over the buttons and the board | water_near_electrics
w | it floods and the four way block is lying in the water | water_near_electrics
w | the outlet behind it got splashed | water_near_electrics
w | it leaks at the front but nowhere near the plug | -
w | water on the floor, the socket is dry and high up | -
w | it leaks, I pulled the plug out straight away | -
w | leaks from the plug hole hose | -
w | I turned the power off at the socket, it has water left in it | -
w | it won't drain and I tried another socket | -

smells
d | there is a scorched smell when it runs | burning_smell
d | smells singed | burning_smell
w | it gives off a stink like hot varnish | burning_smell
w | pong of burnt rubber whenever it spins | burning_smell
d | there's an acrid whiff from the back | burning_smell
d | smells like something is burning | burning_smell
w | a fishy plastic smell by the buttons | burning_smell
w | smells like dodgems when it spins | burning_smell
d | it smells like a soldering iron | burning_smell
d | smells like when you leave the iron on too long | burning_smell
d | a niff of hot electrics | burning_smell
w | I can smell burning | burning_smell
d | it stinks, like a hair dryer about to die | burning_smell
w | burny smell when it spins | burning_smell
d | no burning smell or anything | -
w | doesn't smell burnt, just hums | -
w | it smells musty and rotten | -
w | smells of wet dog | -
d | there is no smell and no smoke | -

smoke and steam
d | a wisp of smoke came out of the vent | smoke
d | there is a blue haze round the back of it | smoke
d | something is smouldering in there | smoke
w | a puff of grey smoke when I pressed start | smoke
w | it was smoking from underneath | smoke
w | smoke came from the back, stinking | burning_smell smoke
d | steam comes out when I open the door | -
d | it steams up the windows | -
d | the smoke alarm never went off | -

sparks
w | I saw a blue flash by the motor | sparks
w | there's arcing at the bottom | sparks
d | it crackled and there was a flash behind the drum | sparks
w | sparks came out of the bottom | sparks
w | lights flash three times | -
w | no sparks | -
d | a red light flashes | -

shocks
w | I get a tingle off the door when my hands are wet | electric_shock
w | it bit me when I touched the drum | electric_shock
d | gave my wife a jolt off the side panel | electric_shock
w | there's a buzz in my fingers when I touch the top | electric_shock
w | got a belt off it | electric_shock
w | the metal feels live, prickly | electric_shock
d | you get zapped when you touch it | electric_shock
w | I felt a kick up my arm from the casing | electric_shock
w | the bill was a shock | -
w | shock absorbers are worn | -
w | nobody got a shock | -
w | it jolts when it starts to spin | -

heat
d | the top is too hot to touch | overheating
d | my towels came out scorched | overheating
d | it has melted the zip on a jacket, everything is far too hot | overheating
d | hot enough to fry an egg on top | overheating
d | it has scorched two shirts | overheating
d | the plug has gone brown and is melting | overheating
d | you could burn your hand on the door | overheating
w | the plug is red hot | overheating
d | it gets nice and warm as normal | -
d | it doesn't get too hot | -
d | the heating wire is broken | -
d | it shows an overheat warning and stays cold | -
d | it's like an oven in the laundry cupboard in summer | -
w | the hose has a blister and could burst | -

gas and fire
d | I can smell gas when it is lit | gas_smell
d | there's a strong gassy pong behind it | gas_smell
d | it stinks of gas in the laundry | gas_smell
d | no smell of gas, the glow bar is dark | -
d | the gas is on and I smell nothing | -
d | flames came out of the back and I put it out | fire
d | I worry that it could catch fire | -
d | my neighbour's dryer went on fire once | -

second look: each written after the ones above were read right
w | each spin it flicks the switches off in the cupboard | trips_breaker
d | my electrics trip if both are on | trips_breaker
w | soon as it gets to the heating bit bang goes the RCBO | trips_breaker
d | the ring main keeps dropping out when I dry | trips_breaker
w | it fused the whole house | trips_breaker
d | I lose all power upstairs when it kicks in | trips_breaker
w | the garage board throws its switch with this on | trips_breaker
d | I shut the power off myself after it got stuck | -
w | we turn the breaker off at night | -
w | the iron tripped the electrics yesterday, nothing to do with the washer | -
w | dripping right over the double socket | water_near_electrics
w | water has got into the extension block | water_near_electrics
w | the cable is lying in a puddle | water_near_electrics
w | the leak is heading for the fuse box | water_near_electrics
w | my downstairs neighbour has water coming through the light | water_near_electrics
w | it is plugged into an extension and leaks a little | -
d | there's a smell of hot dust and something scorching | burning_smell
w | smells like an overheated motor | burning_smell overheating
w | horrible melting plastic smell | burning_smell
d | it reeks of burning hair | burning_smell
w | it smells a bit electrical | burning_smell
d | clothes smell of damp | -
d | it was billowing smoke | smoke
w | smoke pouring out of the soap drawer | smoke
d | the room filled with smoke | smoke
w | never any smoke, just noise | -
w | little sparks at the back of the drum | sparks
w | I can see it sparking through the vents | sparks
d | I touched the side and got zapped | electric_shock
w | static sort of tingle from the drum | electric_shock
w | it gives you a nip when you touch the metal | electric_shock
w | my wee boy got a jolt off it | electric_shock
d | the sheets came out with burn marks | overheating
d | the casing gets so hot I can't put my hand on it | overheating
d | the plug was hot and had gone brown | overheating
d | my jumper is singed at the edges | overheating
d | it isn't as hot as it was | -
d | the drum was warm and dry | -
d | gas smell near the dryer | gas_smell
d | whiff of gas when it lights | gas_smell

third look
w | it shorts the lot as soon as water comes in | trips_breaker
d | RCD won't stay up with the dryer plugged in | trips_breaker
w | the breaker will not stay on | trips_breaker
d | it takes the whole upstairs down with it | trips_breaker
w | every wash the trip goes | trips_breaker
d | the fuse went pop | trips_breaker
w | I reset the breaker and it dropped again | trips_breaker
d | he switched the electric off for me while he looked | -
w | since the power cut on Sunday it will not start | -
w | the wall socket is soaking wet | water_near_electrics
w | there is water round the adaptor | water_near_electrics
w | the water comes right up to where it is plugged in | water_near_electrics
w | it drips through to the light fitting below | water_near_electrics
d | burning plastic smell | burning_smell
w | smells as if something is singeing | burning_smell
d | a strong hot smell comes off it | burning_smell
w | it whiffs of burnt wiring | burning_smell
w | can't smell anything burning | -
d | I see smoke | smoke
w | there was some smoke from under the lid | smoke
d | no smoke without fire as they say, but nothing seen | -
w | big blue spark and a bang | sparks
w | it arced when I plugged it in | sparks
d | feel a current when I lean on it | electric_shock
w | the drum gives me shocks | electric_shock
d | the door glass is roasting | overheating
d | it burnt my shirts | overheating
d | too hot, it could burn you | overheating
d | not too hot, not too cold | -
d | funny gas smell when it starts | gas_smell

fourth look
w | it knocks the downstairs ring off | trips_breaker
d | ten minutes in and all the electrics are gone | trips_breaker
w | when it heats the electricity goes | trips_breaker
d | it has tripped twice since breakfast | trips_breaker
w | the safety switch pops | trips_breaker
w | house goes black when she starts spinning | trips_breaker
w | dripped on the plug | water_near_electrics
w | water running down the wall over the socket | water_near_electrics
w | wet all round the extension lead | water_near_electrics
d | smell of burning from the back | burning_smell
w | it smelt like something was on fire | burning_smell fire
w | scorchy smell | burning_smell
d | blue smoke drifting out | smoke
w | sparking like mad | sparks
d | a crack and a bright flash inside | sparks
w | I get a wee shock off the handle | electric_shock
w | it tingles when I put my hand on it | electric_shock
d | zip left a burn on my arm | overheating
d | clothes are coming out brown and crispy | overheating
d | its so hot inside you cannot touch the drum | overheating
d | strong smell of gas | gas_smell
d | no gas smell, no burning | -
w | the plug is fine and dry, the water is only at the front | -

fifth look
w | it puts the fuse box off half way | trips_breaker
d | the moment it warms up bang goes the electric | trips_breaker
w | tripping the house out | trips_breaker
d | RCD dropping now and then, only with the dryer | trips_breaker
w | it leaks and the multi plug got wet | water_near_electrics
w | water pouring onto an extension cable | water_near_electrics
d | singed fluff smell | burning_smell
w | rubber burning stink on the spin | burning_smell
w | something smells like it's cooking, plasticky | burning_smell
d | there is smoke puffing out the back | smoke
w | I saw sparks through the door | sparks
w | had a shock from the drum this morning | electric_shock
w | buzzy feeling in my hand when I touch the lid | electric_shock
d | it burns everything, T-shirts with brown patches | overheating
d | you can't touch the top it's that hot | overheating
d | I can smell a bit of gas | gas_smell
d | somebody switched the fuse off by mistake, the dryer is just dead | -
w | no water anywhere near the sockets | -
w | nothing tripped, no smell, no sparks | -
d | the neighbours' fuse went, ours is fine | -

sixth look
w | the whole garage loses power when it starts to heat | trips_breaker
w | it knocks off the electricity on every spin | trips_breaker
d | the bathroom goes dark as soon as I press start | trips_breaker
d | it has been losing power when it turns a full load | -
d | the motor trips its overload after ten minutes | -
d | my mate the sparky says the element is fine | -
d | he is a sparky and he tested the cord | -
d | blue flicker behind the start button | sparks
w | a puff of white came out from under the lid | smoke
d | the start button gets hot and has gone brown | overheating
d | it melted the nylon lining of my coat | overheating
d | I could hardly touch the zips | overheating
d | it thinks it is too hot and stops | -
d | it is roasting in here and the clothes are still damp | -
w | I did a boil wash to clean it | -
d | the heat never stops | overheating
d | I can't smell any gas | -
d | no odour of gas | -
w | my electrician says it leaks to earth in the filter | -
w | got a jab up my arm from the lid | electric_shock

questions and their answers
d | gas smell? no, never | -
d | any smoke? none | -
w | any smoke, any sparks? nope | -
d | no flames or smoke, thank god | -
w | burning smell? No, but it sparks at the plug | sparks
d | any smoke? not now | smoke
d | gas smell? not sure | gas_smell
d | any smoke? no idea | smoke
d | any smoke? yes | smoke
`

func TestRead_Dangers(t *testing.T) {
	l := english(t)
	n := 0
	for line := range strings.Lines(dangers) {
		f := strings.Split(strings.TrimSpace(line), " | ")
		if len(f) != 3 {
			continue
		}
		n++
		family := map[string]string{"d": "tumble_dryer", "w": "washing_machine"}[f[0]]
		r := l.Read(f[1], family)
		var got []string
		for _, h := range r.Hazards {
			got = append(got, h.Code)
		}
		slices.Sort(got)
		want := strings.Fields(f[2])
		if f[2] == "-" {
			want = nil
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q: hazards %v, want %v\n%s", family, f[1], got, want, show(r))
		}
	}
	if n < 100 {
		t.Errorf("only %d utterances read; the table must hold at least 100", n)
	}
}

// loadDangers loads the small lexicon of load_test.go with hazards of its own.
func loadDangers(hazards string) (*Lexicon, error) {
	language := strings.Replace(smallLanguage, `hazards: {smoke: ["+smoke"]}`, hazards, 1)
	language = strings.Replace(language, "window: 5,", "window: 5, hazard_least: 20,", 1)
	language = strings.Replace(language, "pronoun: [it]", "pronoun: [it, i], person: [i], and: [and]", 1)
	return Load(fstest.MapFS{
		"language.yaml": {Data: []byte(language)},
		"dryer.yaml":    {Data: []byte(smallFamily)},
	}, smallCodes())
}

func TestLoad_FindingsThatAmountToHazards(t *testing.T) {
	l, err := loadDangers("hazards: {smoke: [\"+smoke\"]}\nhazards_heard: {smoke: [still]}")
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]int{"the drum is not turning": 1, "the drum is turning": 0, "drum": 0} {
		if r := l.Read(text, "dryer"); len(r.Hazards) != want {
			t.Errorf("%q: want %d hazards, got\n%s", text, want, show(r))
		}
	}
	for heard, want := range map[string]string{
		"{fire: [still]}":         `hazard "fire" has no section in hazards`,
		"{smoke: [stil]}":         `no family has finding "stil"`,
		"{smoke: [still, still]}": `finding "still" amounts to two hazards`,
	} {
		_, err := loadDangers("hazards: {smoke: [\"+smoke\"]}\nhazards_heard: " + heard)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want %s", heard, err, want)
		}
	}
}

// ">>" asks for closeness and {itself} for a doer that is no person.
func TestPattern_AtOnceAndItself(t *testing.T) {
	for _, tt := range []struct {
		pattern, text string
		want          int
	}{
		{"drum >> +smoke", "the drum smoke", 1},
		{"drum >> +smoke", "the drum is in my big old kitchen smoke", 0},
		{"drum > +smoke", "the drum is in my big old kitchen smoke", 1},
		{"+smoke >> drum", "the drum smoke", 0},
		{"+turn {itself}", "it is turning", 1},
		{"+turn {itself}", "i turn", 0},
		{"+turn {itself}", "i got up and turn", 0},
		{"+turn", "i turn", 1},
	} {
		l, err := loadDangers("hazards: {smoke: [\"" + tt.pattern + "\", \"+smoke > smoke\", \"+drum > drum\"]}")
		if err != nil {
			t.Fatal(err)
		}
		if r := l.Read(tt.text, "dryer"); len(r.Hazards) != tt.want {
			t.Errorf("%q of %q: want %d hazards, got\n%s", tt.pattern, tt.text, tt.want, show(r))
		}
	}
}
