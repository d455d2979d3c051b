"""What the causes are called, and how each makes what the rider feels: one template per id of
``tuning.judgement.causebook``."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

CAUSES: Mapping[str, Any] = {
    "bearings": _("play or tightness in a bearing"),
    "chassis": _("a bent, loose or misaligned chassis"),
    "legs_uneven": _("fork legs that stand or are set unlike"),
    "shocks_unlike": _("shocks set unlike"),
    "tyre_worn": _("a worn or old tyre"),
    "tyre_pressure": _("wrong tyre pressure"),
    "chain": _("chain too tight or too loose"),
    "electronics": _("a fault of the electronic damping"),
    "levelling": _("levelling not finished"),
    "load_change": _("load that the settings do not fit"),
    "service_due": _("old oil or a worn damper"),
    "friction": _("friction"),
    "linkage_dry": _("a dry linkage"),
    "preload_low": _("too little preload"),
    "preload_high": _("too much preload"),
    "spring_soft": _("a spring too soft"),
    "spring_stiff": _("a spring too stiff"),
    "air_low": _("too little air pressure"),
    "air_high": _("too much air pressure"),
    "oil_low": _("too little oil"),
    "oil_high": _("too much oil"),
    "rebound_low": _("too little rebound damping"),
    "rebound_high": _("too much rebound damping"),
    "compression_low": _("too little compression damping"),
    "compression_high": _("too much compression damping"),
    "high_compression_low": _("too little high-speed compression damping"),
    "high_compression_high": _("too much high-speed compression damping"),
    "packing": _("packing down"),
    "topping_out": _("no travel left to extend"),
    "mode_soft": _("a mode too soft"),
    "mode_firm": _("a mode too firm"),
    "front_high": _("front stands too high"),
    "front_low": _("front stands too low"),
    "rear_low": _("rear stands too low"),
    "rear_high": _("rear stands too high"),
    "geometry_slow": _("slow steering geometry"),
    "geometry_quick": _("quick steering geometry"),
    "steering_damper_tight": _("steering damper too tight"),
    "resonance": _("tyre and wheel ringing"),
    "braking_style": _("the way of braking"),
    "gentle_ride": _("a ride that asks little"),
    "built_tall": _("a tall build"),
    "last_change": _("the last change"),
}
STATEMENTS: Mapping[str, Any] = {
    # Springs, preload, oil and air.
    "soft_spring_dives": _(
        "A spring too soft for the load lets the %(end)s sink far for every force, so braking takes it deep."
    ),
    "soft_spring_ends": _(
        "A spring too soft for the load leaves too little between where the %(end)s rides and the stop."
    ),
    "squats_on_soft_spring": _(
        "A rear spring too soft for the load gives way to the chain's pull and the shifted weight when the "
        "throttle opens."
    ),
    "soft_and_wound_up": _(
        "The %(end)s spring is soft and wound up on preload: it throws the wheel down hard as soon as the load "
        "leaves it."
    ),
    "too_much_movement": _("A spring too soft for the load lets the %(end)s move too much for every force."),
    "dives_as_it_turns": _(
        "The fork is still deep on a soft spring when the bike turns: steep, low and quick at just that moment."
    ),
    "dive_unloads_rear": _(
        "The front dives so deep on its soft spring that hardly any weight is left on the rear wheel."
    ),
    "climbs_the_berm": _(
        "The fork springs are too soft for the rider: the front goes through its travel, pushes, and climbs the berm."
    ),
    "nothing_left_to_grip": _(
        "The fork is at the end of its travel in the corner: only the tyre is left to follow the road."
    ),
    "harsh_at_the_end": _(
        "It is hard because the %(end)s meets the end of its travel, not because it does not move."
    ),
    "rides_in_the_hard_part": _(
        "The soft spring lets the %(end)s ride deep, where air and the end of the travel make every bump hard."
    ),
    "no_linkage_to_help": _(
        "Without a rising linkage the shock is hardly stiffer at the end than at the start: the spring alone "
        "carries the landing."
    ),
    "spring_holds_up": _("A spring too stiff for the load holds the %(end)s up."),
    "spring_too_hard_to_follow": _(
        "A spring too stiff for the load does not let the %(end)s wheel follow the ground."
    ),
    "spring_throws_back": _(
        "A spring too stiff for the load gives back at once what it took: the %(end)s is thrown up."
    ),
    "starts_deep": _("Too little preload: the fork stands deep already, so less is left for the dive."),
    "starts_low_and_squats": _(
        "Too little rear preload: the rear stands low before the throttle opens, and lower after."
    ),
    "height_not_reserve": _(
        "Too little preload lets the %(end)s ride low. Preload sets the height; it hardly cures bottoming."
    ),
    "front_rides_low": _("Too little preload: the %(end)s stands too low with its rider."),
    "front_rides_high": _("Too much front preload: the front stands high, moves little and steers slowly."),
    "front_bounces_back": _(
        "Too much front preload: the front stands at the top of its travel and bounces back from every bump."
    ),
    "rear_skips_on_top": _(
        "Too much rear preload: the rear stands near its top, cannot follow a dip, and the tyre skips."
    ),
    "starts_too_hard": _("Too much preload: the %(end)s needs a hard knock before it moves at all."),
    "wound_to_the_top": _("Too much preload: the %(end)s stands near the top of its travel."),
    "rear_sits_front_high": _(
        "The rear sits low, so the front stands high and raked out, and the bike is slow to turn."
    ),
    "rear_sits_front_light": _("The rear sits low and takes weight off the front wheel."),
    "more_rear_sag_steadier": _(
        "More rear sag makes the bike steadier and slower to turn; less makes it turn quicker."
    ),
    "less_rear_sag_quicker": _("Less rear sag makes the bike turn quicker and less steady; more makes it calmer."),
    "little_oil_no_end": _(
        "With too little oil there is too much air above it: the end of the stroke comes without resistance."
    ),
    "harsh_without_end_force": _("With too little oil nothing slows the fork before its end: the knock is the stop."),
    "air_stiffens_late": _(
        "With too much oil the air above it is soon squeezed: the fork goes hard long before its end."
    ),
    "air_gives": _("Too little air pressure: the fork rides low and has little left."),
    "air_holds_up": _("Too much air pressure: the fork stands high and hard."),
    "balance_chamber_low": _(
        "The main chamber holds more than the balance chamber can meet: the fork knocks at the top."
    ),
    # Rebound.
    "rear_jumps_up": _(
        "Too little rear rebound lets the rear jump up as the brake goes on, and throws weight at the fork."
    ),
    "tops_and_jumps": _("Too little rear rebound: the unloaded wheel is thrown to the end of its travel and jumps."),
    "rear_bounces_on": _(
        "Too little rear rebound: the rear bounces on after the first bump and steps aside at the next."
    ),
    "rear_rises_and_pitches": _(
        "Too little rear rebound: the rear pumps up and down under power and the front loses its line."
    ),
    "front_extends_too_fast": _(
        "Too little front rebound: the front shoots up as the throttle opens and goes light."
    ),
    "front_bounces": _("Too little front rebound: the front bounces where it should settle, and feels vague."),
    "rises_too_fast": _("Too little rebound: the %(end)s comes up too fast and swings past its place."),
    "springs_back": _("Too little rebound: the %(end)s springs back from what it took and bounces on."),
    "returns_to_the_stop": _("Too little rebound: the %(end)s comes back so fast that it knocks at full extension."),
    "bounce_keeps_it_cold": _("Too little rear rebound: the tyre bounces instead of being worked, and stays cold."),
    "wheel_held_up": _("Too much rear rebound: the wheel is held up and cannot follow the ground down."),
    "rear_held_down": _("Too much rear rebound holds the rear down under power: it feels wooden and runs wide."),
    "front_does_not_follow": _(
        "Too much front rebound: the wheel cannot follow the ground down, and grip comes and goes."
    ),
    "open_rebound_for_chatter": _(
        "Too much front rebound can feed the chatter: the wheel hangs in the air between the jolts."
    ),
    "does_not_return": _(
        "Too much rebound: the %(end)s does not come back before the next bump and rides lower and harder each time."
    ),
    "packs_then_kicks": _("Too much rear rebound: the rear is pulled down bump by bump and at last only kicks."),
    "jacks_and_feels_wooden": _("Too much damping at the rear: it is held where it is, jacks down and feels wooden."),
    "tyre_does_the_work": _("Too much damping at the rear: the tyre does the work of the shock, and tears."),
    "packs_then_washes": _(
        "The fork packs down over the bumps until there is nothing left, and the front washes out."
    ),
    "packs_then_lets_go": _("The shock packs down over the bumps in the corner until the tyre lets go."),
    "packs_to_the_stop": _("It packs down over the bumps before, and the last one meets the stop."),
    "soft_and_slow": _(
        "A soft spring and much rebound together: the %(end)s rides ever deeper, and hard though it is soft."
    ),
    "front_at_its_top": _(
        "The front stands at the top of its travel and cannot follow the road down: it goes light and wide. That "
        "is not a sitting rear."
    ),
    "no_droop_left": _(
        "The rear has no travel left to reach down with, so the wheel leaves the ground when the brake unloads it."
    ),
    # Compression.
    "dives_too_fast": _("Too little compression damping lets the fork go down too fast."),
    "damping_only_delays": _(
        "Too little compression damping lets the fork go down too fast. Damping delays a long dive; it does not "
        "change where it ends."
    ),
    "goes_down_too_fast": _("Too little compression damping lets the %(end)s go down too fast."),
    "moves_too_freely": _("Too little compression damping: the %(end)s moves too freely, and feels soft and loose."),
    "squats_front_light": _(
        "Too little rear compression: the rear squats under power, the front goes light and runs wide."
    ),
    "bumps_aside": _("Too little rear compression: under power each bump pushes the rear aside."),
    "stop_throws_back": _("The %(end)s goes through to the stop, and the stop throws it back."),
    "fast_valve_open": _("Too little high-speed compression: a sharp hit goes through the %(end)s unchecked."),
    "front_will_not_settle": _("Too much front compression: the front does not go down to where it steers."),
    "front_rides_on_top": _("Too much front compression: the wheel rides over the bumps instead of taking them up."),
    "rides_on_top": _("Too much rear compression: the wheel rides over the bumps instead of taking them up."),
    "drive_breaks_loose": _(
        "Too much rear compression: the rear does not give as the throttle opens, and the tyre breaks loose."
    ),
    "passes_the_edge_on": _("Too much compression: the %(end)s passes a sharp edge on to the rider."),
    "passes_every_edge_on": _("Too much compression: the %(end)s passes every edge on to the rider."),
    "landing_not_taken": _("Too much compression: the %(end)s stops short on landing, with travel unused."),
    "fast_valve_shut": _("Too much high-speed compression: the %(end)s cannot get out of the way of a fast hit."),
    "fast_valve_kicks": _(
        "Too much high-speed compression at the rear: the wheel cannot get out of the way and the bike is kicked up."
    ),
    "mode_lets_move": _("The mode or load setting chosen damps or holds too little for this ride."),
    "mode_holds_hard": _("The mode chosen damps too much for this ride."),
    "damping_has_failed_soft": _("A fault in the electronic damping can leave it stuck at too soft a setting."),
    # Upkeep and friction.
    "worn_damper": _("Old oil or a worn damper has lost its damping: service first, clicks after."),
    "foamed_oil": _("Old oil foams over a long rough stretch, and the damping goes with it."),
    "gas_or_spring_tired": _("The spring has settled or the shock has lost its gas: it stands lower than it did."),
    "sticks_before_it_moves": _("Friction: the %(end)s sticks until a knock breaks it loose."),
    "sticks_so_no_feel": _("Friction: the fork sticks and slips, and small bumps never reach the hands."),
    "sticks_so_tyre_works": _("Friction: the fork sticks, so the tyre alone springs, undamped."),
    "binds": _("Something binds at the %(end)s: clamp or pinch bolts too tight, an axle out of line, a bent part."),
    "legs_cock_the_axle": _("Legs that stand or are set unlike cock the axle, and the fork binds."),
    "linkage_binds": _("A dry linkage or swingarm bearing binds, however the shock is set."),
    "one_side_works": _("The two shocks are set unlike: one does the work of both and the swingarm is twisted."),
    # Tyres and chassis.
    "tyre_is_the_spring": _("Chatter is the tyre's own bounce: its pressure sets how it rings."),
    "tyre_and_wheel_ring": _(
        "Tyre and wheel ring by themselves at some 17 to 22 times a second; clicks alone do not cure that."
    ),
    "tyre_grips_and_lets_go": _("A worn tyre grips and lets go in turn, and sets the chatter off."),
    "tyre_steers_wrong": _("A tyre at the wrong pressure, or worn, steers by itself, whatever the suspension does."),
    "tyre_squared": _("A rear tyre worn flat in the middle has to be lifted over its own edge."),
    "tyre_worn_pointed": _("A front tyre worn on its flanks tips over its own edge into the corner."),
    "tyre_has_no_grip": _("The tyre has no grip to give: too old, worn, or at the wrong pressure."),
    "soft_tyre_falls": _("A front tyre with too little air drags the bike into the corner."),
    "soft_tyre_moves": _("A %(end)s tyre with too little air moves under the bike."),
    "hard_tyre_skips": _("A tyre with too much air skips where it should give."),
    "hard_tyre_knocks": _("A %(end)s tyre with too much air passes every edge on before the suspension moves."),
    "tyre_starts_shake": _("A worn, unbalanced or wrongly filled tyre can start the shake."),
    "pressure_tears": _("A tyre at the wrong pressure overheats and tears, whatever the damping."),
    "pressure_keeps_it_cold": _("A tyre with too much air hardly works and stays cold."),
    "head_judders": _("Play in the steering head judders back and forth under the brake."),
    "head_loose": _("Play in the steering head or wheel bearings gives the front a will of its own."),
    "head_tight_or_notched": _("A steering head that is too tight or notched holds the bars where they are."),
    "play_starts_shake": _("Play in the head, wheel or swingarm bearings lets the bars shake."),
    "play_starts_weave": _("Play in the head, wheel or swingarm bearings lets the bike weave."),
    "swingarm_plays": _("Play in the swingarm or wheel bearings lets the rear steer."),
    "play_anywhere": _("Play in a %(end)s bearing feels like any setting that is wrong."),
    "steering_damper_holds": _("A steering damper set too tight keeps the bike from finding and holding its line."),
    "chassis_shakes": _("A frame, wheel or head out of true shakes; a stiff steering damper would only hide it."),
    "out_of_line": _("Something in frame, wheels or swingarm is bent, loose or out of line."),
    "chain_pulls": _("A chain too tight or too loose disturbs the rear at every change of the throttle."),
    # How it stands, steers, is loaded and ridden.
    "front_stands_tall": _("The front stands high for the rear: raked out, lightly loaded and slow to turn."),
    "front_stands_low": _("The front stands low for the rear: steep and quick."),
    "rear_stands_tall": _("The rear stands high for the front: steep and quick."),
    "rear_unloads": _("The rear stands high, so braking soon takes the weight off it."),
    "front_light_under_power": _("The rear sits low under power, the front goes light, and a bump sets it off."),
    "front_light_at_speed": _("The rear sits low, and the front is too light to hold its line at speed."),
    "too_much_trail": _(
        "Everything else in order, much trail makes the steering slow: small steps, both legs alike."
    ),
    "too_little_trail": _("Little trail, from legs far up or a high rear, makes the steering nervous."),
    "load_on_old_settings": _("The load has changed and the settings have not: sag comes before everything else."),
    "load_far_back": _("Luggage or a passenger far back lightens the front, and the bike weaves."),
    "levelling_not_finished": _("The height was judged before the levelling had finished."),
    "built_for_travel": _(
        "It stands right for its travel: it is built tall. Lowering for reach is a job of its own, both ends and "
        "the side-stand."
    ),
    "rear_brake_or_gears": _(
        "Rear brake or a hard change down locks or hops the lightly loaded wheel; no click cures that."
    ),
    "brakes_into_the_bend": _(
        "Braking deep into the corner asks the front tyre for everything at once, and it answers with chatter."
    ),
    "ride_asks_little": _("The ride does not ask for more: travel that a gentle ride leaves over is not stiffness."),
    "changed_for_worse": _("What was changed last made it worse: go back to the settings before."),
}
