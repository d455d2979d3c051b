"""For each complaint, every cause that print or practice names for it, written from the sources before anything ran.

(complaint, end, what the bike is, causes as ``kind.end``). "n guides" are published guides; the rest common practice.
"""

ROAD = {"discipline": "road_sport", "front": "coil", "rear": "linkage"}
AIR = ROAD | {"discipline": "motocross", "front": "air"}
SEMI = {"discipline": "adventure", "front": "semi_active", "rear": "semi_active"}
TWIN = {"discipline": "classic", "front": "coil", "rear": "twin_shock"}
DIRT = {"discipline": "enduro", "front": "coil_split", "rear": "linkage"}
DIRECT = {"discipline": "enduro", "front": "coil_split", "rear": "direct"}

COMPLAINTS: tuple[tuple[str, str, dict[str, str], str], ...] = (
    # Braking. 2 guides: soft or worn springs, low oil, compression fault, preload; practice: a rear that jumps up.
    ("brake_dive", "front", ROAD,
     "spring_soft.front oil_low.front compression_low.front preload_low.front rebound_low.rear"),
    # An air fork has neither coil nor oil level nor preload to be wrong: its pressure stands for them.
    ("brake_dive", "front", AIR, "air_low.front compression_low.front rebound_low.rear"),
    # Electronic: the mode comes first in practice; the oil inside is not the client's to level.
    ("brake_dive", "front", SEMI,
     "spring_soft.front compression_low.front preload_low.front rebound_low.rear mode_soft.front"),
    # 2 guides: preload, weak springs, low oil, damping fault; 3: load that the sag was not reset for.
    ("brake_bottoms", "front", ROAD,
     "spring_soft.front oil_low.front compression_low.front preload_low.front service_due.front load_change.rear"),
    ("brake_bottoms", "front", AIR, "air_low.front compression_low.front service_due.front load_change.rear"),
    ("brake_bottoms", "front", SEMI,
     "spring_soft.front compression_low.front preload_low.front service_due.front load_change.rear mode_soft.front"),
    # 1 guide names both too much and too little rebound; practice: topped-out or high rear, diving front, the foot.
    ("rear_hops_braking", "rear", ROAD,
     "rebound_high.rear rebound_low.rear topping_out.rear rear_high.rear spring_soft.front braking_style"),
    # Off the road a sliding rear is ridden on purpose: the way of braking is no fault there.
    ("rear_hops_braking", "rear", DIRT,
     "rebound_high.rear rebound_low.rear topping_out.rear rear_high.rear spring_soft.front"),
    # 2 guides: a mode of tyre and unsprung mass (tyre, stiffness, braking style); 2 firmer, 1 softer front rebound.
    ("chatter_braking", "front", ROAD,
     "resonance.front tyre_pressure.front tyre_worn.front rebound_high.front rebound_low.front braking_style "
     "bearings.front friction.front"),
    # Turning in. 1 guide: front preload; 2: rear preload; 2: fork position or rear height; 1: pressure; 3: load;
    # practice: a tight head or steering damper, too much compression.
    ("slow_turn_in", "front", ROAD,
     "preload_high.front preload_low.rear geometry_slow.front rear_low.rear front_high.front spring_stiff.front "
     "compression_high.front tyre_pressure.front tyre_worn.rear bearings.front steering_damper_tight.front "
     "load_change.rear"),
    # A motocross manual: 90 mm of rear sag turns quicker, 110 is steadier. An air fork is held up by its pressure.
    ("slow_turn_in", "front", AIR,
     "preload_low.rear geometry_slow.front rear_low.rear front_high.front air_high.front compression_high.front "
     "tyre_pressure.front bearings.front steering_damper_tight.front load_change.rear"),
    ("falls_in", "front", ROAD,
     "front_low.front rear_high.rear preload_low.front tyre_pressure.front tyre_worn.front geometry_quick.front"),
    # 1 guide: too little trail; 2: too little front rebound; 1: too much rear preload.
    ("nervous_turn_in", "front", ROAD,
     "geometry_quick.front rear_high.rear front_low.front rebound_low.front preload_high.rear spring_soft.front"),
    ("nervous_turn_in", "front", DIRT,
     "geometry_quick.front rear_high.rear front_low.front rebound_low.front preload_high.rear spring_soft.front"),
    # Mid-corner. 1 guide: sitting rear; 1: pressure, steering damper; practice: a high front, much trail.
    ("runs_wide_mid", "front", ROAD,
     "rear_low.rear topping_out.front front_high.front preload_high.front compression_high.front "
     "geometry_slow.front steering_damper_tight.front tyre_pressure.front"),
    # 1 guide for dirt and dual sport: the front pushes and climbs the berm on springs too soft for the rider.
    ("runs_wide_mid", "front", DIRT,
     "rear_low.rear topping_out.front front_high.front preload_high.front compression_high.front "
     "geometry_slow.front steering_damper_tight.front tyre_pressure.front spring_soft.front"),
    # 2 guides: too little rebound; 1: sitting rear; 1: tyres and bearings; 1: too soft; practice: friction, legs.
    ("front_vague", "front", ROAD,
     "rebound_low.front rear_low.rear friction.front legs_uneven.front tyre_pressure.front tyre_worn.front "
     "bearings.front compression_low.front preload_high.front"),
    # 1 guide: too much rebound; 2: packing over bumps; 1: tyres.
    ("tucks", "front", ROAD,
     "rebound_high.front packing.front tyre_worn.front tyre_pressure.front compression_high.front spring_soft.front"),
    ("chatter_mid", "front", ROAD,
     "resonance.front tyre_pressure.front tyre_worn.front rebound_high.front rebound_low.front"),
    # 1 guide: shock packing; 1: too much preload.
    ("rear_skips_mid", "rear", ROAD,
     "packing.rear compression_high.rear spring_stiff.rear preload_high.rear tyre_pressure.rear"),
    # 1 guide: too little rebound; 1: too soft all round; 2: worn damper; 3: load; 1: bearings, pressure.
    ("wallows", "", ROAD,
     "rebound_low.front rebound_low.rear compression_low.front compression_low.rear spring_soft.front "
     "spring_soft.rear service_due.front service_due.rear load_change.rear bearings.rear tyre_pressure.rear"),
    ("wallows", "", SEMI,
     "rebound_low.front rebound_low.rear compression_low.front compression_low.rear spring_soft.front "
     "spring_soft.rear service_due.front service_due.rear load_change.rear bearings.rear tyre_pressure.rear "
     "mode_soft.front mode_soft.rear"),
    # Exit. 4 guides: soft rear compression; rear rebound too little or too much; front rebound; restore rear sag.
    ("runs_wide_exit", "rear", ROAD,
     "compression_low.rear rebound_low.rear rebound_high.rear rebound_low.front preload_low.rear spring_soft.rear "
     "topping_out.front"),
    ("runs_wide_exit", "rear", SEMI,
     "compression_low.rear rebound_low.rear rebound_high.rear rebound_low.front preload_low.rear spring_soft.rear "
     "topping_out.front mode_soft.rear"),
    # 1 guide: preload or compression, above all with a passenger.
    ("rear_squats", "rear", ROAD,
     "preload_low.rear compression_low.rear spring_soft.rear load_change.rear service_due.rear"),
    ("rear_squats", "rear", SEMI,
     "preload_low.rear compression_low.rear spring_soft.rear load_change.rear service_due.rear mode_soft.rear"),
    # 1 guide: too much compression; 1: tyres.
    ("rear_slides", "rear", ROAD,
     "compression_high.rear tyre_worn.rear tyre_pressure.rear rebound_high.rear spring_stiff.rear"),
    # 1 guide: too little compression.
    ("rear_skips_exit", "rear", ROAD, "compression_low.rear rebound_high.rear rebound_low.rear"),
    # 5 guides: front rebound; light front; head and wheel bearings; tyres. 1: set-up fault of the chassis; 1: trail.
    ("headshake_exit", "front", ROAD,
     "rebound_high.front bearings.front bearings.rear tyre_pressure.front tyre_worn.front rear_low.rear "
     "geometry_quick.front chassis"),
    # 1 guide each.
    ("rear_tyre_torn", "rear", ROAD, "rebound_high.rear compression_high.rear tyre_pressure.rear"),
    ("rear_tyre_cold", "rear", ROAD, "rebound_low.rear tyre_pressure.rear"),
    # Straight. 1 guide: trail; 1: bearings, tyres; practice: a front that stands low or does not follow.
    ("twitchy", "front", ROAD,
     "geometry_quick.front rear_high.rear front_low.front bearings.front tyre_pressure.front rebound_high.front"),
    # 1 guide: steering damper too tight; 1: tyres, bearings, frame; practice: load far back.
    ("weaves", "", {"discipline": "touring", "front": "coil", "rear": "linkage"},
     "steering_damper_tight.front load_change.rear rear_low.rear rebound_low.rear bearings.front bearings.rear "
     "tyre_pressure.front tyre_pressure.rear tyre_worn.front tyre_worn.rear chassis service_due.rear"),
    ("weaves", "", TWIN,
     "steering_damper_tight.front load_change.rear rear_low.rear rebound_low.rear bearings.front bearings.rear "
     "tyre_pressure.front tyre_pressure.rear tyre_worn.front tyre_worn.rear chassis service_due.rear "
     "shocks_unlike.rear"),
    # 1 guide: too soft springs or damping; 2: worn damper; 1: too much rear preload (skips, tops out).
    ("floats", "", ROAD,
     "rebound_low.front rebound_low.rear compression_low.front compression_low.rear spring_soft.front "
     "spring_soft.rear service_due.front service_due.rear preload_high.rear"),
    ("floats", "", SEMI,
     "rebound_low.front rebound_low.rear compression_low.front compression_low.rear spring_soft.front "
     "spring_soft.rear service_due.front service_due.rear preload_high.rear mode_soft.front mode_soft.rear "
     "electronics.front electronics.rear"),
    # One bump. 2 guides: compression, above all high-speed; 3: springs, preload, stiction; 1: tyre pressure.
    ("harsh_single", "front", ROAD,
     "compression_high.front high_compression_high.front spring_stiff.front preload_high.front friction.front "
     "spring_soft.front oil_low.front oil_high.front tyre_pressure.front"),
    ("harsh_single", "rear", ROAD,
     "compression_high.rear high_compression_high.rear spring_stiff.rear preload_high.rear friction.rear "
     "spring_soft.rear tyre_pressure.rear"),
    ("harsh_single", "front", AIR,
     "compression_high.front high_compression_high.front friction.front air_high.front tyre_pressure.front"),
    ("harsh_single", "rear", SEMI,
     "compression_high.rear high_compression_high.rear spring_stiff.rear preload_high.rear friction.rear "
     "spring_soft.rear tyre_pressure.rear mode_firm.rear"),
    # 2 guides disagree: too much rebound, or too little.
    ("rear_kicks", "rear", ROAD,
     "rebound_high.rear rebound_low.rear high_compression_high.rear preload_high.rear spring_stiff.rear"),
    # 4 guides: low compression, low preload or soft spring, load; 2: low oil.
    ("bottoms_bumps", "front", ROAD,
     "compression_low.front preload_low.front spring_soft.front oil_low.front high_compression_low.front "
     "packing.front service_due.front"),
    ("bottoms_bumps", "rear", ROAD,
     "compression_low.rear preload_low.rear spring_soft.rear high_compression_low.rear packing.rear "
     "service_due.rear load_change.rear"),
    ("bottoms_bumps", "front", AIR,
     "compression_low.front air_low.front high_compression_low.front packing.front service_due.front"),
    ("bottoms_bumps", "rear", SEMI,
     "compression_low.rear preload_low.rear spring_soft.rear high_compression_low.rear packing.rear "
     "service_due.rear load_change.rear mode_soft.rear"),
    # 1 guide: too much preload; too little rebound tops out quickly.
    ("tops_out", "rear", ROAD, "preload_high.rear rebound_low.rear spring_soft.rear"),
    ("tops_out", "front", ROAD, "preload_high.front rebound_low.front spring_soft.front"),
    # An air fork knocks at the top when the balance chamber cannot meet the main one.
    ("tops_out", "front", AIR, "rebound_low.front air_high.front"),
    # Series. 4 guides: too much rebound; 2: soft spring with much rebound.
    ("packs_down", "rear", ROAD, "rebound_high.rear packing.rear spring_soft.rear service_due.rear"),
    ("packs_down", "front", AIR, "rebound_high.front packing.front air_low.front service_due.front"),
    ("harsh_series", "front", DIRT,
     "rebound_high.front packing.front compression_high.front friction.front preload_high.front"),
    ("harsh_series", "rear", SEMI,
     "rebound_high.rear packing.rear compression_high.rear friction.rear preload_high.rear mode_firm.rear"),
    # 2 guides: too little rebound, worn damper; 1: front preload.
    ("pogo", "front", ROAD, "rebound_low.front service_due.front preload_high.front"),
    ("pogo", "rear", TWIN, "rebound_low.rear service_due.rear"),
    ("pogo", "rear", SEMI, "rebound_low.rear service_due.rear electronics.rear mode_soft.rear"),
    # Landing. 2 guides: low oil at the fork's end; practice: springs and compression as over bumps.
    ("bottoms_landing", "front", DIRT,
     "spring_soft.front compression_low.front high_compression_low.front oil_low.front"),
    ("bottoms_landing", "rear", DIRT, "spring_soft.rear compression_low.rear high_compression_low.rear"),
    ("bottoms_landing", "rear", DIRECT, "spring_soft.rear compression_low.rear high_compression_low.rear"),
    ("bottoms_landing", "front", AIR, "air_low.front compression_low.front high_compression_low.front"),
    ("harsh_landing", "front", DIRT,
     "compression_high.front high_compression_high.front oil_high.front spring_stiff.front spring_soft.front"),
    ("harsh_landing", "front", AIR, "compression_high.front high_compression_high.front air_high.front"),
    ("kicks_landing", "rear", DIRT, "rebound_low.rear spring_stiff.rear compression_low.rear"),
    # All the time. 1 guide: too much preload; else what it was built for.
    ("too_tall", "front", ROAD, "preload_high.front spring_stiff.front built_tall"),
    ("too_tall", "front", AIR, "air_high.front built_tall"),
    ("too_tall", "rear", SEMI, "preload_high.rear spring_stiff.rear built_tall levelling.rear"),
    # 1 guide: too little preload; 3: load.
    ("too_low", "rear", ROAD, "preload_low.rear spring_soft.rear load_change.rear service_due.rear"),
    ("too_low", "front", AIR, "air_low.front service_due.front"),
    # 3 guides: springs, preload, compression, stiction; 3: dry linkage, pinch bolts; 1: rear damping.
    ("feels_stiff", "front", ROAD,
     "spring_stiff.front preload_high.front compression_high.front friction.front legs_uneven.front oil_high.front "
     "gentle_ride.front"),
    ("feels_stiff", "rear", ROAD,
     "spring_stiff.rear preload_high.rear compression_high.rear rebound_high.rear friction.rear linkage_dry.rear "
     "gentle_ride.rear"),
    ("feels_stiff", "rear", TWIN,
     "spring_stiff.rear preload_high.rear compression_high.rear rebound_high.rear friction.rear gentle_ride.rear"),
    ("feels_stiff", "front", AIR,
     "compression_high.front friction.front legs_uneven.front air_high.front gentle_ride.front"),
    ("feels_stiff", "rear", SEMI,
     "spring_stiff.rear preload_high.rear compression_high.rear rebound_high.rear friction.rear gentle_ride.rear "
     "mode_firm.rear"),
    # 1 guide: too soft springs or damping.
    ("feels_soft", "rear", ROAD,
     "spring_soft.rear compression_low.rear rebound_low.rear service_due.rear load_change.rear"),
    ("feels_soft", "front", AIR, "compression_low.front rebound_low.front service_due.front air_low.front"),
    ("feels_soft", "rear", SEMI,
     "spring_soft.rear compression_low.rear rebound_low.rear service_due.rear load_change.rear mode_soft.rear"),
    # 3 guides: load or rider changed; 1: tyre pressure and wear, bearings, chain, leaks. Inspect before adjusting.
    ("not_right", "", ROAD,
     "load_change.rear tyre_pressure.front tyre_pressure.rear tyre_worn.front tyre_worn.rear bearings.front "
     "bearings.rear chain.rear service_due.front service_due.rear legs_uneven.front chassis last_change"),
    ("not_right", "", TWIN,
     "load_change.rear tyre_pressure.front tyre_pressure.rear tyre_worn.front tyre_worn.rear bearings.front "
     "bearings.rear chain.rear service_due.front service_due.rear legs_uneven.front chassis last_change "
     "shocks_unlike.rear"),
)  # fmt: skip
