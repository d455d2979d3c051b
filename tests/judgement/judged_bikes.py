"""Cases of other kinds of bike and load: air fork, separate legs, linkage-less, twin shocks, semi-active, two-up.
Reasoned from the sources at each case before anything was run (common practice where none is named)."""

from tests.judgement.bikes import Judged, bike, left, pressure, sag
from tests.judgement.build import knobs
from tuning.engine.case import Adjuster
from tuning.engine.derivation import Check

_unlike = tuple(
    Adjuster(f"rear.preload.{leg}", "preload", "rear", "step", leg, at, 0, 5, "open", 4.0)
    for leg, at in (("left", 2.0), ("right", 4.0))
)
_twin = tuple(row for row in knobs() if row.end == "front")
OVER = Check("overload", "blocks", "", (), {"total_kg": 420.0, "limit_kg": 400.0})
TWO_UP = {"discipline": "touring", "load": "two_up"}
DIRT = {"discipline": "enduro", "front": "coil_split"}
MX = {"discipline": "motocross"}

OTHER_BIKES: dict[str, Judged] = {
    # --- Air fork ------------------------------------------------------------------------------------------------
    # Sag 90 of 300 is 30 %, more than 27: pressure, the one thing an air fork has.
    "air fork that bottoms and rides low": Judged(
        bike("bottoms_landing@front", **MX, front="air", bottomed="front", values=sag("motocross", front=90)),
        "air_low.front",
        ("air_low.front", "compression_low.front"),
        {"air_low.front": ("+rider_sag_above", "+reserve_bottomed")},
        absent=("spring_soft.front", "oil_low.front", "preload_low.front"),
    ),
    # 55 of 300 is 18 %, less than 22.
    "air fork that stands tall and turns slowly": Judged(
        bike("slow_turn_in@front", **MX, front="air", values=sag("motocross", front=55)),
        "front_high.front",
        ("air_high.front", "geometry_slow.front"),
        {"air_high.front": ("+rider_sag_below",)},
        absent=("preload_high.front", "spring_stiff.front"),
    ),
    # --- Separate functions: left and right are not meant to be alike. --------------------------------------------
    "separate legs, packs down, rebound leg nearly closed": Judged(
        bike("packs_down@front", **DIRT, adjusters=knobs(rebound_front=1)),
        "rebound_high.front",
        ("rebound_high.front", "spring_soft.front"),
        {"rebound_high.front": ("+rebound_at_closed",)},
    ),
    # 1 guide for dirt: 95 of 300 is 32 %, more than 27; the front climbs the berm.
    "pushes and climbs the berm on a soft fork": Judged(
        bike(
            "runs_wide_mid@front",
            **DIRT,
            values=sag("enduro", front=95),
            bottomed="front",
            checks=(pressure("front", 100, 100),),
        ),
        "spring_soft.front",
        ("spring_soft.front", "topping_out.front"),
        {"spring_soft.front": ("+rider_sag_above", "+reserve_bottomed")},
    ),
    # --- Motocross rear sag: a manual says 90 quicker, 110 steadier. ----------------------------------------------
    "motocross, slow to turn with 115 mm of rear sag": Judged(
        bike("slow_turn_in@front", **MX, values=sag("motocross", rear=115, rear_alone=50)),
        "rear_low.rear",
        ("preload_low.rear", "geometry_slow.front"),
        {"preload_low.rear": ("+rider_sag_above",)},
    ),
    "motocross, nervous with 85 mm of rear sag": Judged(
        bike("nervous_turn_in@front", **MX, values=sag("motocross", rear=85, rear_alone=22)),
        "rear_high.rear",
        ("preload_high.rear", "geometry_quick.front"),
        {"preload_high.rear": ("+rider_sag_below",)},
    ),
    # --- Linkage-less: only the spring carries the landing. --------------------------------------------------------
    # 115 mm is more than 105 with all the preload in.
    "linkage-less enduro that bottoms on landing and rides low": Judged(
        bike(
            "bottoms_landing@rear",
            discipline="enduro",
            rear="direct",
            bottomed="rear",
            values=sag("enduro", rear=115),
            adjusters=knobs(preload_rear=14),
        ),
        "spring_soft.rear",
        ("spring_soft.rear", "compression_low.rear"),
        {"spring_soft.rear": ("+reserve_bottomed", "+room_more_no")},
        absent=("linkage_dry.rear",),
    ),
    # With both sags right the spring is right, and the damper has to take what the linkage does not.
    "linkage-less enduro that bottoms on landing with the sags right": Judged(
        bike("bottoms_landing@rear", discipline="enduro", rear="direct", bottomed="rear"),
        "compression_low.rear",
        ("compression_low.rear", "spring_soft.rear"),
        {"spring_soft.rear": ("+reserve_bottomed", "−rate_right")},
    ),
    "springs back from landings and bounces on": Judged(
        bike("kicks_landing@rear", discipline="motocross", answers={"settle.rear": "many_bounces"}),
        "rebound_low.rear",
        ("rebound_low.rear", "spring_stiff.rear"),
    ),
    "jars on landing with travel left": Judged(
        bike("harsh_landing@front", **DIRT, values=left("enduro", front=90)),
        "high_compression_high.front",
        ("compression_high.front", "spring_soft.front"),
        {"spring_soft.front": ("−reserve_above",)},
    ),
    # --- Twin-shock classic ---------------------------------------------------------------------------------------
    "classic that weaves on shocks set unlike": Judged(
        bike("weaves", discipline="classic", rear="twin_shock", adjusters=_twin + _unlike),
        "shocks_unlike.rear",
        ("shocks_unlike.rear", "chassis"),
        {"shocks_unlike.rear": ("+sides_unlike",)},
    ),
    # 2 guides: worn damper. Oil of more than four years.
    "classic that bounces on old oil": Judged(
        bike("pogo@rear", discipline="classic", rear="twin_shock", answers={"fluid_age": "older"}),
        "service_due.rear",
        ("service_due.rear", "rebound_low.rear"),
        {"service_due.rear": ("+fluid_old",), "rebound_low.rear": ("+fluid_old",)},
    ),
    # 32 of 80 is 40 %, more than 35, with the collars on the last notch.
    "classic that sits low with the preload all in: spring": Judged(
        bike(
            "too_low@rear",
            discipline="classic",
            rear="twin_shock",
            values=sag("classic", rear=32),
            adjusters=knobs(preload_rear=14),
        ),
        "spring_soft.rear",
        ("spring_soft.rear", "preload_low.rear"),
        {"spring_soft.rear": ("+room_more_no", "+rate_soft"), "preload_low.rear": ("−room_more_no",)},
    ),
    # --- Semi-active ----------------------------------------------------------------------------------------------
    "electronic bike that floats with its lamp on": Judged(
        bike("floats", discipline="adventure", front="semi_active", rear="semi_active", stop={"warning_lamp": "yes"}),
        "electronics.front",
        speaks={"electronics.front": ("+lamp_yes",)},
    ),
    "electronic bike judged too low before levelling had finished": Judged(
        bike(
            "too_low@rear",
            discipline="adventure",
            front="semi_active",
            rear="semi_active",
            answers={"levelling_done": "no"},
        ),
        "levelling.rear",
        speaks={"levelling.rear": ("+levelling_not_done",)},
    ),
    "electronic bike, harsh, creeps up, much left: the mode": Judged(
        bike(
            "harsh_series@rear",
            discipline="adventure",
            front="semi_active",
            rear="semi_active",
            values=left("adventure", rear=80),
            answers={"settle.rear": "slow"},
        ),
        "mode_firm.rear",
        ("mode_firm.rear", "rebound_high.rear", "compression_high.rear"),
        {"mode_firm.rear": ("+reserve_above", "+settle_slow")},
    ),
    # --- Load -----------------------------------------------------------------------------------------------------
    # 4 guides and the stop gate: over the limit nothing else is tuned.
    "overloaded two-up tourer that bottoms and weaves": Judged(
        bike("bottoms_bumps@rear", "weaves", **TWO_UP, values=sag("touring", rear=50, rear_alone=22), checks=(OVER,)),
        "load_change.rear",
        ("load_change.rear", "preload_low.rear", "compression_low.rear"),
        {"load_change.rear": ("+gross_over", "+load_passenger", "+rider_sag_above")},
    ),
    # 1 guide: squats, especially with a passenger: rear preload.
    "two-up tourer that squats with too much sag": Judged(
        bike("rear_squats@rear", **TWO_UP, values=sag("touring", rear=50, rear_alone=22)),
        "preload_low.rear",
        ("preload_low.rear", "load_change.rear", "compression_low.rear"),
        {"preload_low.rear": ("+load_passenger",)},
    ),
    # Practice: luggage far back lightens the front.
    "adventure bike that weaves with luggage": Judged(
        bike("weaves", discipline="adventure", load="solo_luggage"),
        "load_change.rear",
        speaks={"load_change.rear": ("+load_luggage",)},
    ),
    # 3 guides: another rider, sag never set again: 27 mm is less than 28 at the rear.
    "nothing definite, and a tyre at the wrong pressure": Judged(
        bike("not_right", checks=(pressure("front", 190, 250),)), "tyre_pressure.front"
    ),
    "not right, and worse since the last change": Judged(
        bike(
            "not_right",
            answers={"outcome": "worse"},
            checks=(pressure("front", 250, 250), pressure("rear", 290, 290)),
            stop={"tyres": "no"},
        ),
        "last_change",
        speaks={"last_change": ("+outcome_worse",)},
    ),
    # --- A request for lowering: both sags right, so it is built tall; that is a job of its own. -------------------
    "stands too tall with both sags right: built so": Judged(
        bike("too_tall", discipline="adventure"),
        "built_tall",
        ("built_tall", "preload_high.front", "preload_high.rear"),
        {"built_tall": ("+attitude_level",), "preload_high.rear": ("−rider_sag_in_band",)},
    ),
    # 40 of 200 is 20 %, less than 28: there is preload to take out before anything is lowered.
    "stands too tall with too little rear sag: preload": Judged(
        bike("too_tall@rear", discipline="adventure", values=sag("adventure", rear=40, rear_alone=20)),
        "preload_high.rear",
        ("preload_high.rear", "built_tall"),
        {"built_tall": ("−attitude_nose_low",)},
    ),
    # Soft and wound up: bike alone topped out with the rider's sag right.
    "clunks at the top, soft and wound up": Judged(
        bike("tops_out@rear", values=sag(rear_alone=1)),
        "spring_soft.rear",
        ("spring_soft.rear", "preload_high.rear"),
        {"spring_soft.rear": ("+rate_soft", "+alone_sag_topped_out")},
    ),
    # Near the end of its range and still bouncing: the damper is worn, not set wrong (1 of 20 out).
    "bounces with rebound nearly closed: service": Judged(
        bike("pogo@front", adjusters=knobs(rebound_front=1)),
        "service_due.front",
        ("service_due.front", "rebound_low.front"),
        {"service_due.front": ("+rebound_at_closed",), "rebound_low.front": ("−rebound_at_closed",)},
    ),
}
