package wording

// Long because most of it is one table of sentences, which reads best in one
// place.

import (
	"slices"
	"strings"
	"testing"

	"onevisit/diagnosis/evidence"
)

// utterances are our own sentences in the manner of callers (common practice,
// no source). Each line: family | text | what must be read. "+f" finding
// present, "-f" absent, "~f" not reported present, "=f" not reported at all;
// "*h" hazard, and no other hazard may be read; "theory:p", "bad:p", "good:p",
// "new:p" mention of a part kind; "?" nothing informative.
const utterances = `
d | Drum doesn't go round any more | +drum_not_turning
d | the drum has stopped turning but I can hear the motor running | +drum_not_turning +motor_runs_drum_still
d | the barrel just sits there while the engine is running | +motor_runs_drum_still
d | it buzzes but nothing moves | +hums_not_starting
d | It just hums | +hums_not_starting
d | humming noise, tub won't rotate | +hums_not_starting +drum_not_turning
d | when I press start it hums for a few seconds and then stops | +hums_not_starting
d | it'll start if I reach in and give the drum a shove | +starts_when_pushed
d | if I spin it by hand it gets going | +starts_when_pushed
d | unplugged it, the drum turns freely by hand and feels normal | +turns_freely_by_hand_with_drag
d | I can spin the drum with one finger, feels like nothing is attached | +drum_loose_light
d | drum wont budge even by hand, its jammed solid | +drum_stiff
d | the drum is stiff to turn by hand | +drum_stiff
d | slow to get going, struggles to start with a full load | +struggles_to_start
d | only turns one way, hums when it should reverse | +turns_one_way_only
d | heard a loud snap then the drum stopped | +snap_heard +drum_not_turning
d | there's black rubber dust under it | +black_dust_beneath
d | Took the back off and the belt is snapped | +belt_seen_broken bad:drive_belt
d | Dead as a doornail, no lights | +dead
d | it won't power on | +dead
d | nothing at all happens when i turn it on, no lights | +dead
d | lights come on but it won't start | -dead +lights_but_no_start
d | display lights up, I press start and nothing happens | +lights_but_no_start
d | it clicks when I press start and then nothing | +clicks_only
d | have to press the start button loads of times before it goes | +start_button_fiddly
d | have to hold the door shut with my foot or it cuts out | +starts_when_door_pressed
d | the door won't stay shut, keeps popping open mid cycle | +door_not_staying_shut
d | the plastic hook on the door has broken off | +door_hook_broken bad:door_catch
d | keeps turning with the door open | +runs_door_open
d | the drum light doesn't come on when I open the door | +drum_light_wrong
d | child lock light is on | +lock_symbol
d | the dial doesn't move on, stays in the same place | +dial_not_moving
d | buttons don't do anything | +buttons_dead
d | all the lights are flashing | +flashing_or_message
d | there's an error code on the display | +flashing_or_message
d | starts up by itself in the middle of the night | +acts_by_itself
d | stopped working after a power cut | +after_power_cut_or_storm
d | the plug was scorching and has gone brown | +plug_browned *overheating
d | kettle doesn't work in that socket either | +other_appliance_dead_there
d | I tried a lamp in the same socket and it works fine | -other_appliance_dead_there
d | stops after 10 minutes | +stops_midway
d | cuts out halfway through, then works again after it cools down | +stops_midway +restarts_after_rest
d | finishes too early and the clothes are still wet | +ends_too_early +takes_long
d | runs and runs, never shuts off | +runs_on
d | won't stop, goes on for hours | +runs_on
d | No heat | +no_heat
d | not getting warm at all | +no_heat
d | only blowing cold air | +no_heat
d | Clothes are stone cold at the end, it turns fine though | +no_heat -drum_not_turning
d | it tumbles but doesn't get hot | -drum_not_turning +no_heat
d | isnt heting up | +no_heat
d | heats up fine but the drum isn't spinning | -no_heat +drum_not_turning
d | it only gets lukewarm | +weak_heat ~no_heat
d | not as hot as it used to be | +weak_heat
d | barely warm | +weak_heat
d | takes three hours to dry a normal load | +takes_long
d | clothes still damp after a full cycle | +takes_long
d | drying takes twice as long as before | +takes_long
d | some days it heats, other days it doesn't | +heat_comes_and_goes
d | gets hot for the first ten minutes then goes cold | +heat_first_minutes_only
d | it gets way too hot, I burnt my hand on the drum | +too_hot *overheating
d | clothes come out scalding | +too_hot *overheating
d | hardly any air coming out of the vent | +weak_airflow
d | lots of air blowing out the vent but it's cold | -weak_airflow +no_heat
d | filter is full of fluff | +filter_dirty
d | I clean the lint filter every time | -filter_dirty
d | the vent hose is squashed behind it | +hose_crushed
d | the hose has come off the back | +hose_split_seen
d | the pipe outside is blocked with fluff | +vent_blocked_or_long
d | never cleaned the condenser | +exchanger_dirty
d | it's packed full of towels | +overloaded
d | it stands in a freezing garage | +room_cold
d | the windows are dripping with condensation | +damp_room
d | lint blowing all over the laundry | +fluff_in_room
d | gas dryer, igniter glows but it doesn't light | +igniter_glows_no_flame
d | loud squeal on start up | +squeal +squeal_at_start_only
d | squeaks like a mouse every time it goes round | +squeal
d | thumping noise on every turn | +thump
d | it thumps at first but fades after a few minutes | +thump +thump_fades
d | deep rumbling, worse with a heavy load | +rumble +noise_worse_when_full
d | metal on metal scraping at the front | +scrape_metal +noise_at_front
d | rattles like a bag of spanners | +rattle
d | something clinking round in the drum, maybe a coin | +clink_loose_item
d | whirring noise from the fan like something stuck in it | +roar_with_air
d | grinding from the motor | +groan
d | smells like burning rubber | +burning_smell +burnt_rubber_smell *burning_smell
d | hot plastic smell coming from the back | +burning_smell +hot_electric_smell *burning_smell
d | there's a bit of a burny smell | +burning_smell *burning_smell
d | saw smoke coming out the back | +smoke *smoke
d | sparks flew out of it | +sparks *sparks
d | trips the breaker as soon as I plug it in | +trips_breaker +trips_at_plug_in *trips_breaker
d | knocks the power off when the heater kicks in | +trips_breaker +trips_when_heating *trips_breaker
d | brown streaks on the clothes | +clothes_marked
d | shirts get caught between the drum and the front | +clothes_caught
d | felt seal is hanging off inside | +seal_hanging
d | puddle of water under the condenser dryer | +water_leak
d | says empty the water tank but it's empty | +tank_message_stays
d | water container never fills up any more | +tank_empty
d | the pump gurgles all the time | +pump_noise
d | stopped working since we moved house | +moved_recently
d | only three months old | +new_machine
d | hasn't been used for months | +long_unused
d | my husband reckons it's the thermostat | theory:cycling_thermostat theory:high_limit_thermostat
d | could it be the heating element? | theory:heating_element
d | we had a new belt fitted last month | new:drive_belt
d | the belt looks fine | good:drive_belt
d | I need a new door catch | theory:door_catch
d | My tumble dryer isn't working | ?
d | it's broken, can someone come out | ?
d | the washing machine is fine, it's the dryer | ?
d | our old one caught fire years ago | ?
d | Do you work on saturdays? | ?
w | won't drain, full of water | +water_left
w | the water won't go out | +water_left
w | left with a drum full of water at the end | +water_left
w | drains really slowly | +drains_slowly
w | pump is humming but no water comes out | +pump_hums_no_drain
w | can't hear the pump at all | +pump_silent
w | horrible rattle when it pumps out | +pump_rattles
w | cleaned the filter, found a coin in it | +trap_blocked
w | the drain hose was kinked behind it | +drain_hose_kinked
w | the waste hose is split and leaking | +drain_hose_split +water_leak
w | water comes up in the drum when I empty the sink | +sink_backflow
w | it washes fine but won't spin | +no_spin
w | spin isn't working | +no_spin
w | spinning slowly, never gets up to speed | +spin_weak
w | clothes come out dripping wet | +clothes_soaking
w | tries to spin a few times then gives up | +tries_then_gives_up
w | only happens with one heavy blanket in it | +single_heavy_item
w | fine when empty, won't spin with a full load | +works_when_empty
w | foam everywhere, way too many suds | +suds_excess
w | fills with water but the drum doesn't move | +drum_not_turning
w | hums but drum won't turn | +hums_not_starting +drum_not_turning
w | drum jerks a bit then stops | +jerks_then_stops
w | goes mental, spins flat out from the start | +drum_races
w | blue sparks from the motor underneath | +sparks +sparks_at_motor *sparks
w | agitator doesn't move but it spins | +no_agitation -no_spin
w | it agitates but won't spin | +agitates_no_spin
w | dead, no lights at all | +dead
w | lights are on but it wont start | +lights_but_no_start -dead
w | door won't lock so it won't start | +door_will_not_lock
w | no click from the door | +no_door_click
w | door lock clicks over and over | +door_clicks_repeatedly
w | cant get the door open, my clothes are trapped | +door_will_not_open
w | door handle came off in my hand | +handle_broken bad:door_handle
w | there's a sock caught in the door | +cloth_in_door
w | no water comes in | +no_fill
w | not filling | +no_fill
w | takes ages to fill, just a trickle | +fills_slowly
w | the tap was turned off | +tap_off
w | cold tap has no pressure in the kitchen either | +tap_weak
w | it keeps filling even when it's switched off | +fills_power_off +overfills
w | won't stop filling, water up to the top | +overfills
w | fills and empties at the same time | +keeps_filling_draining
w | softener stays in the drawer | +softener_not_taken
w | water pours out of the soap drawer | +drawer_floods +water_leak
w | leaks from the front when it fills | +leak_front +leak_when_filling
w | puddle underneath after every wash | +water_leak +leak_underneath
w | leaks only when it's spinning | +water_leak +leak_when_spinning
w | drips even when it's off | +leak_when_off
w | there's a tear in the door rubber | +rubber_torn bad:door_gasket
w | mould all over the door seal | +rubber_dirty
w | roars like a jet on spin | +roar_on_spin
w | sounds like an aeroplane taking off when it spins | +roar_on_spin
w | bangs like crazy on the spin cycle | +bangs_on_spin
w | jumps across the floor when it spins | +walks_shakes
w | shakes the whole house on spin | +walks_shakes
w | I can lift the drum up and down | +drum_can_be_lifted
w | transit bolts are still in | +transit_bolts_in
w | water stays cold even on 60 | +water_cold
w | washing in cold water, not heating | +water_cold
w | cycle takes forever, stuck at 20 minutes | +cycle_too_long
w | trips the RCD when it starts to heat | +trips_breaker +trips_when_heating *trips_breaker
w | blows the fuse every time it spins | +trips_breaker +trips_when_turning *trips_breaker
w | smells musty, like a wet dog | +bad_smell
w | drum smells of mould | +bad_smell
w | grey marks on the whites | +clothes_marked
w | tiny holes in my shirts | +clothes_torn
w | white powder left on the clothes | +residue_left
w | stops in the middle of the wash | +stops_midway
w | I think the bearings have gone | theory:drum_bearing
w | is it the pump? | theory:drain_pump
w | hello can I book a repair please | ?
d | I can smell gas | *gas_smell
d | no smell of gas | ~burning_smell
d | there's a faint whiff of gas near it maybe | *gas_smell
d | my husband said he smelt gas in the laundry | *gas_smell
d | the carbon monoxide alarm went off | *carbon_monoxide
d | it caught fire this morning, I put it out | *fire
d | I'm worried it might catch fire | ?
d | flames at the back of the dryer | *fire
d | no smoke or burning smell | -smoke -burning_smell
d | no smoke, sparks or flames | -smoke -sparks
d | doesn't trip the breaker | -trips_breaker
d | I got a shock off the door | *electric_shock
w | gives me a tingle when I touch it | *electric_shock
w | water is running onto the power board | *water_near_electrics
w | water coming through the ceiling below near the light fitting | *water_near_electrics
w | small leak, nowhere near the plug | +water_leak
w | fingers got trapped in the drum | *person_trapped
w | I bypassed the door switch with a wire | *interlock_defeated
w | laundry got flooded and it stood in water | *flood_damage
w | I've a newborn baby and need it fixed | *vulnerable_person
d | the thing goes round lovely but the washing comes out as wet as it went in, no warmth in it | -drum_not_turning +no_heat
d | hello my dryer has just packed up, it makes a buzz when you hit go but the drum stays put | +hums_not_starting +drum_not_turning
d | turns when theres nothing in it but as soon as i put the washing in it just hums | +drum_slips_when_full +hums_not_starting
d | Works when empty. With wet towels in it the drum slows down and stops | +drum_slips_when_full
d | there was a twang and now you can hear the fan but the clothes don't tumble | +snap_heard +drum_not_turning
d | drum no turning, motor makes sound | +drum_not_turning +motor_runs_drum_still
d | is not heating, only wind cold | +no_heat
d | machine is running but clothes no dry | +takes_long
d | it heat very little | +weak_heat
d | it's been taking longer and longer every week and yesterday it was still wet after 4 hours | +takes_long
d | the dryer heats but it takes all day to get anything dry | -no_heat +takes_long
d | no hot air anymore | +no_heat
d | heating has packed up | +no_heat
d | The heat's gone | +no_heat
d | it quit heating | +no_heat
d | it stopped heating last night, tumbles fine | +no_heat -drum_not_turning
d | doesn't seem to want to heat up | +no_heat
d | I don't think it's heating | +no_heat
d | everything works except the heat | +no_heat
d | there is heat and it tumbles but it shuts off every 5 minutes | -no_heat -drum_not_turning +stops_midway
d | keeps stopping part way through, I have to wait twenty minutes before it will start again | +stops_midway +restarts_after_rest
d | it wont switch off at the end, just keeps on tumbling | +runs_on
d | sensor says dry after five minutes but everything is soaking | +ends_too_early +takes_long
d | horrible screeching, my neighbours are complaining | +squeal
d | used to squeak, doesn't any more | -squeal
d | makes a terrible racket like a helicopter | +roar_with_air
d | thud thud thud as the drum goes round | +thump
d | it sounds like there are boots in it | +thump
d | there is a scraping sound and little bits of metal in the filter | +scrape_metal
d | the door catch is bust so I tie it shut with string | +door_hook_broken
d | door flies open as soon as it starts tumbling | +door_not_staying_shut
d | it doesn't know the door is shut | +no_door_click
d | display is blank | +display_dark_or_garbled
d | beeps and shows a fault | +flashing_or_message
d | the lead is frayed near the plug | +cord_damaged
d | the socket behind it has melted | +plug_browned *overheating
d | half the breaker tripped and now no heat | +no_heat *trips_breaker
d | the flap outside hardly opens when it's running | +weak_airflow
d | I've emptied the tank but the light stays on | +tank_message_stays
d | there's water all over the floor by the dryer | +water_leak
d | water tray is overflowing onto the floor | +water_leak
d | the burner lights then goes out after a minute | +heat_first_minutes_only
d | I can hear it clicking trying to light but no flame | +clicks_tries_to_light
d | heat pump dryer runs for hours and stays cold, the compressor never kicks in | +no_compressor_hum +no_heat
d | gas man turned the gas off last week | +gas_supply_off
d | a sock got stuck behind the drum | +cloth_stuck_behind_drum
d | there's a singed smell and scorched lint by the element | +burning_smell +scorched_fluff *burning_smell
d | Smells hot | +burning_smell *burning_smell
d | stinks of burnt wiring and the room filled with smoke | +burning_smell +smoke *burning_smell *smoke
d | whenever I touch the metal I get zapped | *electric_shock
d | it went bang and the whole house lost power | +snap_heard *trips_breaker
d | fuse in the plug keeps blowing | +trips_breaker *trips_breaker
d | can smell rotten eggs near the gas dryer | *gas_smell
d | both of us get headaches when the gas dryer is on | *carbon_monoxide
d | the toddler climbed inside | *person_trapped
d | it isn't smoking or anything, just won't start | -smoke +lights_but_no_start
d | a friend had one that burst into flames, mine just squeaks | +squeal
d | is it dangerous? it rattles | +rattle
d | the fan heater trips too so it may be the socket | ?
w | wont empty the water out and door is locked | +water_left +door_will_not_open
w | water sitting in the bottom, pump makes a grinding noise | +water_left +pump_rattles
w | it washes and rinses then stops with water in and won't go to spin | +water_left +no_spin
w | nothing happens when it should drain, dead silent | +pump_silent
w | after the wash everything is dripping, no spin | +clothes_soaking +no_spin
w | it doesn't spin properly | +spin_weak
w | wont go into spin mode | +no_spin
w | spin cycle not working, everything else ok | +no_spin
w | drum won't go round but I can turn it by hand no bother | +drum_not_turning +turns_freely_by_hand_with_drag
w | the motor hums and gets hot but drum not moving | +hums_not_starting
w | top loader, fills up then just hums and does nothing | +hums_not_starting
w | center post doesn't move, clothes just sit in the water | +no_agitation
w | it wont let me open the door, wash finished 2 hours ago | +door_will_not_open
w | door doesnt click shut any more so cycle never begins | +no_door_click
w | the door is shut but it says door open | +door_will_not_lock
w | won't take in any water | +no_fill
w | takes forever to fill with water | +fills_slowly
w | I hear a buzz at the back but no water comes in | +valve_buzzes +no_fill
w | only the cold water comes in, hot doesn't | +one_temperature_only
w | water keeps coming in and won't stop | +overfills
w | it siphons out as quick as it fills | +siphons
w | the fabric conditioner never gets taken | +softener_not_taken
w | soap powder is left behind in the drawer | +softener_not_taken
w | leaks all over the kitchen floor while draining | +water_leak +leak_when_emptying
w | dripping from the front door, the rubber has a split | +leak_front +rubber_torn
w | water round the back, tap connection is dripping | +leak_rear +inlet_hose_wet
w | leak appears to be from underneath somewhere in the middle | +leak_underneath
w | makes an almighty noise on spin like a freight train | +roar_on_spin
w | rumbles when I turn the drum by hand | +rumble_by_hand
w | knocks every time the drum goes round slowly | +knock_each_turn
w | clunking when it spins | +bangs_on_spin
w | it moves about the floor, nearly came out from under the worktop | +walks_shakes
w | vibrates like mad on spin | +walks_shakes
w | vibrates the whole kitchen | +walks_shakes
w | drum feels loose, there's play when I pull it up | +drum_can_be_lifted
w | we never took the shipping bolts out | +transit_bolts_in
w | door glass stays cold on a hot wash | +water_cold
w | programme takes hours, hangs on 12 minutes | +cycle_too_long
w | comes out boiling even on the thirty wash | +water_too_hot *overheating
w | as soon as the water heats up the safety switch goes | +trips_when_heating *trips_breaker
w | cold wash is fine but a hot wash trips the power | +cold_wash_ok +trips_when_heating *trips_breaker
w | clothes stink after washing | +bad_smell
w | laundry comes out with rust marks | +clothes_marked
w | ripped my best jumper | +clothes_torn
w | stops at the rinse and just sits there | +stops_midway
w | gives an error halfway through the wash | +flashing_or_message
w | display shows nothing, all dead | +dead
w | buttons don't respond | +buttons_dead
w | smells of burning rubber when it tries to spin | +burnt_rubber_smell *burning_smell
w | smoke came out when it was spinning | +smoke *smoke
w | water is dripping on the socket behind it | +water_leak *water_near_electrics
w | leaked through to the flat below and we turned it off | *water_near_electrics
w | the plug got wet from the leak | +water_leak *water_near_electrics
w | had the pump replaced in spring | new:drain_pump
w | brushes are worn down to nothing, I checked | bad:motor_brushes
w | belt's still on | good:drive_belt
d | I've got it in bits on the floor, it's in pieces | *opened_by_user
d | there's a funny burning smell and it's very hot on top | *burning_smell *overheating
d | it doesn't smell of burning, just hot air | -burning_smell
d | no burning smell but it does squeal | -burning_smell +squeal
d | the drum is burning hot | *overheating
d | it is red hot inside | *overheating
d | the room gets hot but the clothes stay wet | +takes_long
d | warm but not hot | ~too_hot
d | it used to trip the breaker years ago but not since | ?
d | my sister's dryer tripped the power last year, mine won't heat | +no_heat
d | the lights dimmed and there was a puff of smoke | +smoke *smoke
d | steam comes out of it, not smoke | -smoke +damp_room
d | there was a flash and a bang from the back | +sparks *sparks
d | saw it arcing through the vents | +sparks *sparks
d | it shocked me when I emptied it | *electric_shock
d | static shocks from the clothes | *electric_shock
d | the fuse box keeps going when I start it | *trips_breaker
d | popped the breaker twice today | *trips_breaker
d | power strip it is plugged into is melting | *overheating
d | hot plug | *overheating
d | scorch marks round the socket | *overheating
d | it smells like gas when it lights | *gas_smell
d | smell of gas has gone now after we opened the windows | *gas_smell
d | neighbour smelt gas out by our vent | *gas_smell
d | it isn't a gas dryer, no heat | +no_heat
w | water is going everywhere including the power point | *water_near_electrics
w | water leaking on the floor but the plug is up high and dry | +water_leak
w | it leaks and there's an extension lead lying in the water | +water_leak *water_near_electrics
w | water dripping through the kitchen ceiling | *water_near_electrics
w | the machine is live, you get a tingle off the drum | *electric_shock
w | smells musty, not burning | +bad_smell -burning_smell
w | it smells of hot electrics on spin | +hot_electric_smell *burning_smell
w | whiff of burnt rubber once, last week | +burnt_rubber_smell *burning_smell
w | no sparks no smoke just dead | +dead -smoke -sparks
w | the RCD trips | +trips_breaker *trips_breaker
w | the RCD doesn't trip any more since I plugged it elsewhere but it won't spin | -trips_breaker +no_spin
w | it blew up with a big bang | +snap_heard
w | I taped the lid switch down to make it spin | *interlock_defeated
w | got my hand caught in the drum | *person_trapped
w | child locked itself, key light on | +lock_symbol
w | my elderly mother relies on it | *vulnerable_person
w | it doesnt take the water away, still sat there in the morning | +water_left
w | smoke pouring out of the back when it went onto spin | +smoke =leak_rear =water_leak *smoke
w | machine never heats the water | +water_cold =no_fill
w | wet floor in front every time I do a big load, the rubber looks perished | +leak_front +water_leak +rubber_torn
w | goes round when empty but with towels in it just hums | +works_when_empty +hums_not_starting
w | motor spins but drum stays still, smell of rubber | +motor_runs_drum_still +burnt_rubber_smell *burning_smell
w | Drum won't turn but it fills and empties | +drum_not_turning =keeps_filling_draining
w | Found nothing in the filter | -trap_blocked
w | Trips the power about 20 mins in, always when it's on a 40 or 60. Cold wash is no problem at all. | +trips_when_heating +cold_wash_ok *trips_breaker
w | Door's locked shut with my work clothes inside. Tried turning off for an hour. | +door_will_not_open =stops_midway =cycle_too_long
w | the softener drawer is full of water | +softener_not_taken =water_left
w | smells like rotten eggs when you open the door, black mould on rubber | +bad_smell +rubber_dirty
d | Not a single light | +dead
d | Motor hums like it wants to go but nothing. gave the drum a shove and away it went | +hums_not_starting +starts_when_pushed
d | My son spun it round with his hand and off it went | +starts_when_pushed
d | it's only blowing cool air, was grand last week | +no_heat
d | brown mark on the socket | +plug_browned =clothes_marked
d | buzzing noise and won't turn. I can turn the drum by hand and it feels normal | +hums_not_starting +turns_freely_by_hand_with_drag =drum_stiff
d | wont heat on any setting | +no_heat
d | Thumps in time with the drum, worse with wet towels in | +thump +noise_worse_when_full =takes_long
d | its like a picture of a droplet on the screen | +tank_message
w | fills up fine then just sits there when it should be spinning | +no_spin
w | whenever I empty the bath the water comes up in the machine's drum | +sink_backflow
w | it hums but the agitator won't agitate | +hums_not_starting +no_agitation
w | black mould in the fold of the door seal | +rubber_dirty =bad_smell
w | it started after the plumber was here, drum won't turn | +drum_not_turning =starts_when_pushed
d | a vest got swallowed in the gap at the front | +clothes_caught
d | the light inside works, heat comes on, started yesterday that it squeaks | +squeal
d | took four goes to dry the towels yesterday | +takes_long
d | you can hear the motor whirring away yet the clothes aren't moving | +motor_runs_drum_still
d | full of fluff behind the filter | +filter_dirty =fluff_in_room
d | door won't latch | +door_not_staying_shut
d | drum's seized, can't shift it with both hands | +drum_stiff
d | the top's too hot to touch and there's a smell of hot plastic | +too_hot *overheating *burning_smell
d | no gas smell, igniter never glows | +no_igniter_glow
w | crawls across the utility room | +walks_shakes
w | hardly any water comes in | +fills_slowly =no_fill
w | stuck on rinse | +cycle_too_long
w | powder not washed out of the drawer | +softener_not_taken
w | tub full of water at the end, pump makes no sound | +water_left +pump_silent
w | spins alright but never drains | -no_spin +water_left
w | stops after twelve minutes | +stops_midway
w | friend says it'll be the carbon brushes | theory:motor_brushes

turned by hand, started by hand, and what "if" tells
d | the tumbler's normal whirring is there but clothes just lie in a heap at the bottom, wet | +drum_not_turning =roar_with_air
d | drum turns with normal drag when I move it | +turns_freely_by_hand_with_drag ~drum_stiff
d | by hand it's got the usual resistance | +turns_freely_by_hand_with_drag ~drum_stiff
d | the drum has its proper drag, I checked | +turns_freely_by_hand_with_drag ~drum_stiff
d | there's no weight to the drum, it just flops round | +drum_loose_light
d | if I give the drum a flick it runs the whole programme | +starts_when_pushed
d | it'll only go if you give the drum a bit of a shove first | +starts_when_pushed
d | if I lean on the door it carries on | +starts_when_door_pressed
d | if I put my knee on the door it goes | +starts_when_door_pressed
d | the belt is tight on the drum | ~drum_stiff
d | the drum has retired but the fan is going | +drum_not_turning
d | drum's on strike, motor's humming away | +drum_not_turning
d | my lint sieve has a great big hole in it | +filter_damaged ~filter_dirty
d | the fluff mesh has a dirty great rip in it | +filter_damaged ~filter_dirty
d | fluff screen is filthy | +filter_dirty
d | the cowl outside is caked in lint | +vent_blocked_or_long ~filter_dirty
d | the roof cap was packed with fluff | +vent_blocked_or_long
d | foil hose has come off the back | +hose_split_seen
d | the silver pipe is squashed flat behind it | +hose_crushed
d | the rubber round the condenser is torn | +exchanger_seal_loose ~seal_hanging ~door_hook_broken
d | the foam round the heat exchanger is squashed flat | +exchanger_seal_loose
d | only a little bit warm | +weak_heat
d | heats poorly and takes hours | +weak_heat +takes_long
d | it is heating, but very poor | +weak_heat
d | the heat doesn't shut off till it's finished | +too_hot *overheating
d | the heat never stops | +too_hot *overheating
d | it is a lot hotter than it should be in there | +too_hot *overheating
d | still tumbling away after four hours and the clothes are crispy | ~takes_long
d | clothes are bone dry and it's still going, three hours now | +runs_on ~takes_long
d | dry already but it carries on for hours | +runs_on
d | on the cool setting it runs all day no problem | +cool_setting ~runs_on
d | keeps saying close the door but it is closed | +no_door_click
d | it tells me to close the door | +no_door_click
d | the fan is silent now | +fan_not_heard ~roar_with_air
d | motor sounds normal | ~groan
d | I can hear the motor but the drum doesn't turn | +motor_runs_drum_still -dead
d | the igniter glows and never lights | +igniter_glows_no_flame
d | it glows and glows but will not light | +igniter_glows_no_flame ~runs_on
d | light says full but there's nothing in the tank | +tank_message
d | it claims it is full every ten minutes | +tank_message
d | tick tick tick as the drum turns | +clink_loose_item
d | there's a bra wire poking through a hole in the drum | +clink_loose_item ~cord_damaged
d | tok tok tok in time with the drum | +thump
d | clanking every turn | +thump
d | the cable is pinched under the foot | +cord_damaged
d | you can see the coloured wires where the lead is cut | +cord_damaged
d | there's air moving in the duct, strong | ~moved_recently
d | the vent was stuffed with lint | +vent_blocked_or_long ~overloaded
d | someone stuffed a toy in the back grille | ~overloaded
d | the screen is all dashes and eights | +display_dark_or_garbled
d | the washing machine works in the same socket | -other_appliance_dead_there
d | the washing machine is dead on the same wall too | +other_appliance_dead_there
d | little bulb inside doesn't come on | +drum_light_wrong ~dead
d | I press start, zip | ~dead
d | overheat warning comes up on it | +flashing_or_message ~too_hot
w | it takes off like a jet when it should wash | +drum_races ~roar_on_spin
w | goes into a mad spin straight away with water in | +drum_races
w | full to the window with water and it was switched off | +fills_power_off ~water_left
w | I pull the plug out and the water keeps coming in | +fills_power_off
w | when I unplug it the water stops | ~fills_power_off
w | water went right up to the window | +overfills
w | keeps filling till it's over the edge, when I turn it off the water stops | +overfills ~fills_power_off
w | the water was much too high | +overfills
w | it leaks at the back so I shut the tap | +leak_rear ~tap_off
w | hose burst, I've turned the tap off | ~tap_off
w | turns out the tap was turned off | +tap_off
w | took the hose off and it gushes into a bucket | ~water_leak -tap_weak
w | the lid is down. No click when I shut it | +lid_no_click ~no_door_click
w | no click from the door | +no_door_click
w | agitates fine. Drains. It doesn't spin though | +agitates_no_spin
w | spin is great. The agitator slips, clack clack clack | +ratchet_noise -no_spin
w | the rim sticks out at one spot when I turn the drum | +gap_to_seal_uneven ~drum_stiff
w | drum isn't running true, wider one side | +gap_to_seal_uneven
w | the drum wobbles side to side like a buckled wheel | +gap_to_seal_uneven
w | the filter cap's thread is stripped | +trap_cap_damaged
w | the bottom filter won't screw in tight | +trap_cap_damaged
w | broke the handle off the filter cap | +trap_cap_damaged ~handle_broken
w | stuck with a drum of dirty water | +water_left ~drum_stiff ~drum_not_turning
w | pump sounds strong | ~pump_rattles
w | pump keeps running after it's emptied | +pump_runs_on
w | pump never stops | +pump_runs_on
w | it buzzes and hardly anything goes down the waste | ~hums_not_starting
w | fills up, then it goes nnnnn | ~valve_buzzes
w | hmmmm from the back and no water | +valve_buzzes +no_fill
w | starts washing and then cuts out | ~clothes_soaking +stops_midway
w | it freezes at the rinse | ~water_cold +stops_midway
w | big block on top is loose | +weight_loose
w | shower spray at the door isn't going | +no_spray
w | it comes out from below when it's pumping out | +leak_when_emptying
w | I hit temp and a different one responds, buttons are all mixed | +buttons_dead
w | spilled softener over the buttons last week | ~water_leak ~leak_front
w | everything is wet round the tap | ~clothes_soaking +inlet_hose_wet
w | the dryer works on the same socket | -other_appliance_dead_there
w | popping sound from the buttons | ~snap_heard
w | the dryer beside it is dead on the same circuit | +other_appliance_dead_there
w | it makes a clank on every turn | +knock_each_turn
w | it's leaning to one side | +not_level
w | I'm leaning on the door to make it go | ~not_level +starts_when_door_pressed
d | when I shift the drum by hand it has a bit of drag, as usual | +turns_freely_by_hand_with_drag ~drum_stiff
d | goes fine if you swing the drum round to get it off the mark | +starts_when_pushed
d | with my hip against the door it stays running | +starts_when_door_pressed
d | outside louvres are furred up with lint | +vent_blocked_or_long
d | the flexi hose split by the wall | +hose_split_seen
d | condenser's rubber has perished | +exchanger_seal_loose
d | never gets properly hot, just a hint of warmth | +weak_heat
d | heat won't cut out at all | +too_hot *overheating
d | towels are like cardboard and it's still running | +runs_on
d | panel tells me to close the door, it's shut | +no_door_click
d | the blower's gone quiet | +fan_not_heard
d | motor is running, no drum | +motor_runs_drum_still
d | igniter glows then goes dark, gas doesn't light | +igniter_glows_no_flame
d | reads full though I've just emptied it | +tank_message
d | something taps once per turn, tok tok | +thump
d | the flex is trapped under the machine and squashed | +cord_damaged
d | half the digits are missing on the display | +display_dark_or_garbled
d | drum sits in one heap of wet towels, drum isn't moving | +drum_not_turning
w | went off like a rocket with the water still in it | +drum_races
w | water rose over the window | +overfills
w | drips into it all night though it's switched off | +fills_power_off
w | I had to close the tap because the hose was leaking | ~tap_off
w | the bucket fills in seconds with the hose off | ~water_leak
w | lid's shut and there's no click | +lid_no_click
w | agitating is fine but no spinning | +agitates_no_spin
w | drum looks lopsided, gap is wider one side | +gap_to_seal_uneven
w | trap cap is cross threaded | +trap_cap_damaged
w | drum full of filthy water and stuck | +water_left
w | the pump won't stop running | +pump_runs_on
w | makes a mmmmm sound and doesn't move | +hums_not_starting
w | it hangs halfway through the rinse | +stops_midway
w | concrete slab inside is cracked | +weight_loose
w | nothing sprays from the jet up top | +no_spray
w | puddle from under it only as it pumps out | +leak_when_emptying
w | press one button and something different comes on | +buttons_dead
w | thin tube off the pressure switch had come off | ~hose_out_of_standpipe
w | drum wobbles like a buckled bike wheel | +gap_to_seal_uneven
w | clank clank as the drum goes round | +knock_each_turn
w | the tumble dryer runs from that socket no bother | -other_appliance_dead_there
w | I leave the tap off at night | ~water_leak

all families of finding, in words not used above
d | drum goes round, air is blowing, but it's blowing cold | +no_heat ~drum_not_turning ~weak_airflow
d | gets hot but nothing tumbles | +drum_not_turning ~no_heat
d | the noise is only there for the first minute | ~stops_midway
d | no squeaks, no bangs, it just won't dry | ~squeal ~thump +takes_long
d | the light in the drum works, the panel lights work, press start and not a thing | +lights_but_no_start ~drum_light_wrong ~dead
d | squeaks like a trolley wheel all the way through | +squeal
d | grumbles from the back, worse with towels in | +rumble +noise_at_rear +noise_worse_when_full
d | takes three goes to dry one lot of jeans, and the flap outside hardly lifts | +takes_long +weak_airflow
d | the pipe out the window is about six metres long | +vent_blocked_or_long
d | cuts out after a quarter of an hour and won't go again till it's cooled | +stops_midway +restarts_after_rest
d | it stops dead after twenty minutes but the clothes aren't dry | +stops_midway
d | the knob won't turn the timer down, stays where I put it | +dial_not_moving
d | door flies open in the middle of drying | +door_not_staying_shut
d | shirt got dragged in at the front edge and came out ripped | +clothes_caught
d | water all over the floor in front of it | +water_leak
d | pump gurgles but the tank never gets any water | +pump_noise +tank_empty
d | the compressor starts up, buzzes and stops again | +compressor_buzz_stops
d | drum squeals on start up only then it's quiet | +squeal_at_start_only
d | we've just had it delivered and it trips as soon as it's plugged in | +trips_breaker +trips_at_plug_in *trips_breaker
d | clothes too hot to touch when they come out | +too_hot *overheating
w | water's still sat in the drum after the wash | +water_left
w | pump makes a grinding noise, something's in there | +pump_rattles
w | the pump is dead silent at the end | +pump_silent
w | won't spin if there's more than two shirts in | +no_spin
w | spins fine, drains fine, won't fill | ~no_spin ~water_left +no_fill
w | it fills but only a trickle | +fills_slowly ~no_fill
w | no hot water in it, clothes come out cold | +water_cold
w | bangs like a drum kit on the final spin | +bangs_on_spin ~no_spin
w | a low roar that gets louder as it speeds up | +roar_on_spin
w | shuffles across the floor when it spins | +walks_shakes
w | drum tries to move a couple of times, then gives up | +jerks_then_stops
w | smells like a swamp | +bad_smell
w | black bits on the whites | +clothes_marked
w | door won't let go at the end | +door_will_not_open
w | the door doesn't lock so it won't begin | +door_will_not_lock
w | powder is still sitting in the drawer | +softener_not_taken
w | leaks from the soap drawer when it takes water in | +water_leak +leak_when_filling
w | foam comes out of everywhere | +suds_excess
w | stops mid rinse and the lights blink | +stops_midway +flashing_or_message
w | nothing on the display, nothing when I press the button | +dead
w | it doesn't leak any more, but it won't spin | ~water_leak +no_spin
w | it starts when given a flick | +starts_when_pushed
w | hold the door and it spins | +starts_when_door_pressed
d | starts when given a flick | +starts_when_pushed
d | the drum gets going once I give it a twirl | +starts_when_pushed
d | hums until I nudge it | +starts_when_pushed
d | won't reverse, it just hums when it should go the other way | +turns_one_way_only
d | it turns both ways all right | ~turns_one_way_only
d | doesn't go both directions | +turns_one_way_only
d | it won't run again until it cools down | +restarts_after_rest ~no_heat
d | sits there humming until you push the drum | +starts_when_pushed
d | I pushed the drum and it still hums | ~starts_when_pushed
d | press the button, not a thing, though the panel is lit | +lights_but_no_start
d | it takes ages to dry and my windows stream with wet | +takes_long
d | the belt is fine and the motor turns | ~belt_seen_broken
d | no rubber smell | ~burning_smell ~burnt_rubber_smell
d | lint everywhere behind the machine since the pipe popped off | +fluff_in_room +hose_split_seen
d | can't hear the compressor kick in any more | +no_compressor_hum
d | clothes come out dripping from the washer, takes the dryer hours | +washer_spin_poor
d | it only dries if I use the timed programme | +timed_dries_ok
d | there is a gap at the front of the drum and socks get caught | +gap_at_drum_edge +clothes_caught
w | water still sitting in it an hour later | +water_left
w | the drum turns both ways in the wash but there's no spin | ~turns_one_way_only +no_spin
w | turns only anticlockwise | +turns_one_way_only
w | pump hums, no water goes out | +pump_hums_no_drain
w | washing comes out wringing wet | +clothes_soaking
w | the drain pipe is jammed behind the unit and squashed | +drain_hose_kinked
w | red window on the hose | +flood_stop_red
w | water gets warm, I checked | ~water_cold
w | hot wash comes out stone cold | +water_cold
w | the seal has a rip at the bottom | +rubber_torn
w | it dances round the kitchen | +walks_shakes
w | drum has dropped at one side | +tub_hangs_low
w | the spin is fine when it's empty | +works_when_empty
w | a coin is rattling round in there | +rattle_loose_item
w | keeps taking in water and letting it out | +keeps_filling_draining
w | won't go past the rinse | ~no_spin
w | sparks at the back of the motor | +sparks_at_motor *sparks
w | doesn't smell, no smoke | ~bad_smell ~smoke
w | tap's on full, I checked | ~tap_off
w | when the sink empties the drum fills up | +sink_backflow
`

var mentionNames = map[string]evidence.Mention{
	"theory": evidence.Theory, "bad": evidence.SeenBad, "good": evidence.SeenGood, "new": evidence.Replaced,
}

func TestRead_Utterances(t *testing.T) {
	l := english(t)
	n := 0
	for line := range strings.Lines(utterances) {
		f := strings.Split(strings.TrimSpace(line), " | ")
		if len(f) != 3 {
			continue
		}
		n++
		family := map[string]string{"d": "tumble_dryer", "w": "washing_machine"}[f[0]]
		r := l.Read(f[1], family)
		var hazards []string
		for _, want := range strings.Fields(f[2]) {
			name := want[1:]
			i := slices.IndexFunc(r.Observations, func(o evidence.Observation) bool { return o.Finding == name })
			ok := true
			switch want[0] {
			case '+':
				ok = i >= 0 && r.Observations[i].Present
			case '-':
				ok = i >= 0 && !r.Observations[i].Present
			case '~':
				ok = i < 0 || !r.Observations[i].Present
			case '=':
				ok = i < 0
			case '*':
				hazards = append(hazards, name)
			case '?':
				ok = !r.Informative
			default:
				kind, part, _ := strings.Cut(want, ":")
				ok = slices.ContainsFunc(r.Parts, func(p evidence.PartMention) bool {
					return p.PartKind == part && p.Kind == mentionNames[kind]
				})
			}
			if !ok {
				t.Errorf("%s: %q: want %s, got\n%s", family, f[1], want, show(r))
			}
		}
		var got []string
		for _, h := range r.Hazards {
			got = append(got, h.Code)
		}
		slices.Sort(got)
		slices.Sort(hazards)
		if !slices.Equal(got, hazards) {
			t.Errorf("%q: hazards %v, want %v\n%s", f[1], got, hazards, show(r))
		}
	}
	if n < 150 {
		t.Errorf("only %d utterances read; the table must hold at least 150", n)
	}
}
