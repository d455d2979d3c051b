"""The intake's vocabularies. Ids are stored; labels are translated where they are shown."""

from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy


class Role(models.TextChoices):
    TUNER = "tuner", _("tuner")
    LEAD = "lead", _("lead tuner")


class RequestState(models.TextChoices):
    DRAFT = "draft", _("being filled in")
    RECEIVED = "received", _("received")
    READING = "reading", _("being read")
    QUESTION = "question", _("question for you")
    SHEET_READY = "sheet_ready", _("sheet ready")
    RIDE = "ride", _("ride and report")
    SETTLED = "settled", _("settled")
    CLOSED = "closed", pgettext_lazy("a request", "closed")


class Discipline(models.TextChoices):
    ROAD_SPORT = "road_sport", _("road, sporting")
    NAKED = "naked", _("road, naked bike")
    TOURING = "touring", _("touring")
    TRACK = "track", _("track days or racing")
    ADVENTURE = "adventure", _("adventure, mostly road")
    DUAL_SPORT = "dual_sport", _("dual sport, road and trail")
    ENDURO = "enduro", _("enduro")
    MOTOCROSS = "motocross", _("motocross")
    SUPERMOTO = "supermoto", _("supermoto")
    CRUISER = "cruiser", _("cruiser")
    CLASSIC = "classic", _("classic")


class Pace(models.TextChoices):
    EASY = "easy", _("easy")
    BRISK = "brisk", _("brisk")
    FAST = "fast", _("fast")
    RACE = "race", _("race")


class Skill(models.TextChoices):
    ADJUSTERS = "adjusters", _("I turn clickers, preload and set tyre pressures")
    HAND_TOOLS = "hand_tools", _("I use hand tools and a torque wrench")
    HOME_WORKSHOP = "home_workshop", _("I change fork oil and springs with the manual")
    SPECIALIST = "specialist", _("I leave everything to a workshop")


class Budget(models.TextChoices):
    NONE = "none", _("adjustment only, no parts")
    SPRINGS = "springs", _("springs, if they are needed")
    SPRINGS_AND_INTERNALS = "springs_and_internals", _("springs and internals")


class FrontArchitecture(models.TextChoices):
    COIL = "coil", _("coil springs in both legs")
    COIL_SPLIT = "coil_split", _("separate functions: spring in one leg, damping in the other")
    AIR = "air", _("air fork")
    SEMI_ACTIVE = "semi_active", _("electronic or semi-active")
    LEADING_LINK = "leading_link", _("leading link")
    HUB_CENTRE = "hub_centre", _("hub-centre steering")
    SIDECAR = "sidecar", _("sidecar outfit")


class RearArchitecture(models.TextChoices):
    LINKAGE = "linkage", _("one shock with a linkage")
    DIRECT = "direct", _("one shock without linkage")
    TWIN_SHOCK = "twin_shock", _("two shocks")
    CANTILEVER = "cantilever", _("cantilever, shock under the seat")
    SEMI_ACTIVE = "semi_active", _("electronic or semi-active")


class SettingKind(models.TextChoices):
    FOUND = "found", _("as found")
    RECOMMENDED = "recommended", _("recommended")
    APPLIED = "applied", _("applied")


class Step(models.TextChoices):
    """The steps of the form, in order."""

    SAFETY = "safety", _("Fit to ride")
    YOU = "you", _("You and your aim")
    BIKE = "bike", _("The bike")
    RIDER = "rider", _("Rider and load")
    SETTINGS = "settings", _("Settings as found")
    SAG = "sag", _("Sag")
    TRAVEL = "travel", _("Travel used")
    BEHAVIOUR = "behaviour", _("How it behaves")
    REVIEW = "review", _("Look over and send")


class ShortStep(models.TextChoices):
    """The steps that only the short way has; the others are those of the whole form."""

    BASICS = "basics", _("You and the bike")
    TWELVE = "twelve", _("Twelve numbers")


class Way(models.TextChoices):
    """How much a first round is asked."""

    SHORT = "short", _("short")
    WHOLE = "whole", _("whole")


class LengthUnit(models.TextChoices):
    MM = "mm", _("millimetres")
    IN = "in", _("inches")


class MassUnit(models.TextChoices):
    KG = "kg", _("kilograms")
    LB = "lb", _("pounds")


class PressureUnit(models.TextChoices):
    BAR = "bar", _("bar")
    PSI = "psi", _("psi")
    KPA = "kPa", _("kPa")


class RateUnit(models.TextChoices):
    N_MM = "N/mm", _("N/mm")
    KGF_MM = "kgf/mm", _("kgf/mm")
    LBF_IN = "lbf/in", _("lbf/in")


class TorqueUnit(models.TextChoices):
    NM = "N.m", _("N·m")
    LBF_FT = "lbf.ft", _("lbf·ft")


class Paper(models.TextChoices):
    A4 = "A4", _("A4")
    LETTER = "Letter", _("US Letter")


class Purpose(models.TextChoices):
    """What a private link allows."""

    FULL = "full", _("the whole request")
    REPORT = "report", _("report of a ride only")


class Done(models.TextChoices):
    """What became of a change of the sheet."""

    AS_TOLD = "as_told", _("Done as written")
    OTHERWISE = "otherwise", _("Done otherwise")
    NOT_DONE = "not_done", _("Not done")
    UNDONE = "undone", _("Done, then put back because it rode worse")


#: How a complaint of an earlier round has gone since.
SINCE = ("better", "same", "worse", "gone")
