"""The trade's words, for reading only: which heading means what, and which word in a cell means what.

Generic words of the trade in English, and the common ones in German, Spanish and French. One table, sorted by
what a word means; a test keeps it sorted and free of doubles.
"""

from __future__ import annotations

HEADINGS: dict[str, tuple[str, ...]] = {
    "apex_m": (
        "altura", "altura maxima", "apex", "apex height", "flughöhe", "flèche", "hauteur", "hauteur max",
        "height",
        "height apex", "highest point", "höhe", "max height", "maximum height", "peak", "peak height",
    ),
    "attack_rad": (
        "angle attaque", "angle d attaque", "angle of attack", "angulo de ataque", "aoa", "attack",
        "attack angle",
        "eintreffwinkel", "vertical path",
    ),
    "backspin_rpm": ("back spin", "backspin", "backspin rate", "spin back"),
    "ball": ("ball", "ball model", "ball type", "ball used", "balle", "bola", "type of ball"),
    "ball_speed_mps": (
        "ball speed", "ball velocity", "ballgeschwindigkeit", "ballspeed", "bs", "launch speed", "speed ball",
        "speed of ball", "velocidad bola", "velocidad de bola", "vitesse balle", "vitesse de balle",
    ),
    "carry_m": (
        "carry", "carry dist", "carry distance", "carry dst", "carry length", "carry only",
        "carry yardage", "cd",
        "distance carry", "flugweite", "vuelo",
    ),
    "change": ("change", "changed", "changes", "stamp", "what changed"),
    "club": (
        "build", "candidate", "club", "club name", "club type", "club used", "palo", "schläger", "stick",
    ),
    "club_speed_mps": (
        "chs", "club head speed", "club speed", "club velocity", "clubhead speed", "clubspeed", "cs",
        "head speed",
        "schlägergeschwindigkeit", "schlägerkopfgeschwindigkeit", "speed club", "speed of club",
        "swing speed",
        "velocidad de palo", "velocidad del palo", "vitesse club", "vitesse de club",
    ),
    "date": ("date", "datum", "day", "fecha", "jour"),
    "delivered_loft_rad": (
        "delivered loft", "dynamic loft", "dynamischer loft", "impact loft", "loft at impact",
        "loft delivered",
        "loft dynamique",
    ),
    "descent_rad": (
        "angle of descent", "descent", "descent angle", "entry angle", "fall angle", "land angle",
        "landewinkel",
        "landing angle", "landung winkel",
    ),
    "direction_rad": (
        "azimuth", "horizontal angle", "horizontal launch", "horizontal launch angle", "launch azimuth",
        "launch direction", "launch h", "launch horizontal", "side angle", "start angle", "start direction",
        "start line", "startrichtung",
    ),
    "face_rad": (
        "club face", "face", "face angle", "face direction", "face to target", "schlagfläche",
    ),
    "flex": ("flex", "shaft flex"),
    "grip": ("grip",),
    "head": ("club head", "head", "head model", "model"),
    "impact_high_m": (
        "face height", "face impact vertical", "impact height", "impact high", "impact vertical", "impact y",
        "strike height", "vertical impact", "vertical strike",
    ),
    "impact_toe_m": (
        "face impact horizontal", "face impact lateral", "heel toe", "horizontal impact", "horizontal strike",
        "impact horizontal", "impact lateral", "impact toe", "impact x", "lateral impact", "toe heel",
    ),
    "launch_rad": (
        "abflugwinkel", "angle de lancement", "angulo de lanzamiento", "la", "launch", "launch angle",
        "launch v",
        "launch vertical", "startwinkel", "vertical angle", "vertical launch", "vertical launch angle", "vla",
    ),
    "length": ("club length", "length", "shaft length"),
    "lie": ("ball lie", "lie", "surface"),
    "lie_angle": ("club lie", "lie angle", "static lie"),
    "loft": ("club loft", "loft", "measured loft", "static loft"),
    "mark": ("mark", "marked"),
    "mark_author": ("mark author", "marked by"),
    "mark_probability": ("mark probability",),
    "mark_reason": ("mark reason",),
    "note": (
        "bemerkung", "comment", "comments", "contact", "nota", "notas", "note", "notes", "notiz", "quality",
        "remark", "remarks", "strike", "strike quality", "tag", "tags",
    ),
    "offline_m": (
        "abweichung", "carry dispersion", "carry offline", "carry side", "desviacion", "dev",
        "deviation", "dispersion",
        "from pin line", "l r", "landing side", "lateral", "lateral carry", "left right", "off center",
        "off centre", "off line", "offline", "offline at landing", "offline carry", "seite",
        "seitliche abweichung",
        "side", "side at landing", "side carry", "side dist", "side distance", "side landing", "side to side",
        "écart", "écart latéral",
    ),
    "offline_total_m": (
        "final side", "lateral total", "offline at rest", "offline total", "side at rest", "side rest",
        "side roll", "side total", "total deviation", "total lateral", "total offline", "total side",
    ),
    "order": (
        "#", "ball #", "ball no", "ball nr", "ball number", "coup", "golpe", "index", "n", "no", "nr", "nr.",
        "number", "order", "schlag", "shot", "shot #", "shot id", "shot no", "shot nr", "shot number",
        "shots",
    ),
    "path_rad": (
        "club direction", "club path", "horizontal path", "path", "schwungbahn", "swing direction",
        "swing path",
    ),
    "setting": (
        "head setting", "hosel", "hosel setting", "loft setting", "loft sleeve", "set up", "setting",
        "settings",
        "setup", "sleeve", "sleeve setting",
    ),
    "shaft": ("shaft", "shaft model", "shaft name"),
    "shaft_weight": ("shaft weight",),
    "side": ("l or r", "left or right", "r or l", "side letter", "which side"),
    "sidespin_rpm": ("side spin", "sidespin", "sidespin rate", "spin side"),
    "speed_ratio": (
        "efficiency", "pti", "ratio", "smash", "smash factor", "smash ratio", "speed ratio",
    ),
    "spin_axis_rad": (
        "axis", "axis tilt", "spin axis", "spin axis tilt", "spin tilt", "spinachse", "tilt", "tilt angle",
    ),
    "spin_rpm": (
        "ball spin", "drall", "spin", "spin rate", "spin total", "spinrate", "total spin", "total spin rate",
    ),
    "swing": ("intent", "shot type", "swing", "swing type", "type of swing"),
    "swing_weight": ("swing weight", "swingweight"),
    "time_of_day": (
        "clock", "date time", "datetime", "hour", "time of day", "time stamp", "timestamp", "uhrzeit",
    ),
    "time_s": (
        "air time", "airtime", "flight time", "flugzeit", "hang time", "hangtime", "time", "time in air",
        "time of flight",
    ),
    "total_m": (
        "distance total", "gesamt", "gesamtlänge", "gesamtweite", "total", "total carry and roll",
        "total dist",
        "total distance", "total length", "total yardage", "total yards",
    ),
    "visit": ("session", "session id", "session name", "sitzung", "visit"),
}  # fmt: skip
"""What a heading means -> the words for it, lower case, without unit and punctuation, sorted."""

ASKED_HEADINGS: dict[str, tuple[str, ...]] = {
    "angle": ("launch_rad", "descent_rad", "direction_rad"),
    "direction": ("direction_rad", "offline_m"),
    "distance": ("carry_m", "total_m"),
    "distancia": ("carry_m", "total_m"),
    "dist": ("carry_m", "total_m"),
    "entfernung": ("carry_m", "total_m"),
    "geschwindigkeit": ("ball_speed_mps", "club_speed_mps"),
    "length of shot": ("carry_m", "total_m"),
    "range": ("carry_m", "total_m"),
    "speed": ("ball_speed_mps", "club_speed_mps"),
    "velocidad": ("ball_speed_mps", "club_speed_mps"),
    "velocity": ("ball_speed_mps", "club_speed_mps"),
    "vitesse": ("ball_speed_mps", "club_speed_mps"),
    "weite": ("carry_m", "total_m"),
    "yardage": ("carry_m", "total_m"),
}
"""Headings that two readings fit: the program asks which one is meant."""

MEANING: dict[str, str] = {word: name for name, words in HEADINGS.items() for word in words}

BUILD_COLUMNS = (
    "head", "loft", "setting", "length", "lie_angle", "shaft", "shaft_weight", "flex", "swing_weight", "grip",
)  # fmt: skip
"""Columns that tell one build from another, in the order in which they are named in a label."""

SUMMARY_ALONE = frozenset(
    [
        "best",
        "count",
        "ecart-type",
        "gesamt",
        "max",
        "maximum",
        "median",
        "min",
        "minimum",
        "n",
        "range",
        "sigma",
        "sum",
        "summe",
        "sum.",
        "total",
        "totals",
    ]
)
"""A label cell that is nothing but one of these makes the row a summary."""

SUMMARY_WORDS = frozenset(
    [
        "average",
        "averages",
        "avg",
        "avg.",
        "ave",
        "ave.",
        "mean",
        "means",
        "moyenne",
        "mittel",
        "mittelwert",
        "durchschnitt",
        "promedio",
        "media",
        "std",
        "std.",
        "stdev",
        "stddev",
        "sd",
        "stdabw",
        "standardabweichung",
        "std.dev",
        "std.dev.",
        "deviation",
        "dev",
        "dev.",
        "deviations",
        "consistency",
        "variance",
    ]
)
"""A label cell that begins or ends with one of these makes the row a summary ("7 iron average")."""

MISSING = frozenset(
    ("", "-", "--", "---", "----", "–", "—", "n/a", "na", "n.a.", "nan", "null", "none", "nil", "#n/a",
     ".", "…", "...",
     "k.a.", "s/d")
)  # fmt: skip
"""A cell that says "not measured"."""

RIGHT = frozenset(("r", "right", "rt", "re", "rechts", "d", "der", "derecha", "droite", "dr"))
LEFT = frozenset(("l", "left", "lt", "li", "links", "i", "izq", "izquierda", "gauche", "g"))
CENTRE = frozenset(
    ("c", "center", "centre", "ctr", "mitte", "mid", "middle", "straight", "online", "on line")
)

MISHIT_WORDS: dict[str, str] = {
    "bladed": "thin", "chunk": "heavy", "chunked": "heavy", "duff": "heavy", "duffed": "heavy",
    "fat": "heavy",
    "heavy": "heavy", "heel": "heel", "heeled": "heel", "heely": "heel", "high": "high",
    "high on face": "high",
    "high on the face": "high", "mishit": "", "mis-hit": "", "mis hit": "", "off the heel": "heel",
    "off the toe": "toe", "shank": "shank", "shanked": "shank", "sky": "high", "skied": "high",
    "thin": "thin",
    "thinned": "thin", "toe": "toe", "toed": "toe", "toey": "toe", "top": "topped", "topped": "topped",
}  # fmt: skip
"""What is said of a poor strike -> the mishit's reason in our own word."""

BAD_READ_WORDS = frozenset(
    ("bad read", "bad-read", "badread", "misread", "mis-read", "mis read", "no read", "no-read",
     "lost by unit",
     "net first", "hit net first", "hit the net first", "wrong club", "wrong club selected", "not my shot")
)  # fmt: skip

WARM_UP_WORDS = frozenset(("warm up", "warm-up", "warmup", "warming up", "loosener", "practice", "practise"))

SOFTENERS = frozenset(
    [
        "a",
        "bit",
        "little",
        "slightly",
        "very",
        "quite",
        "caught",
        "it",
        "hit",
        "was",
        "bit",
        "really",
        "so",
        "just",
    ]
)
"""Words that change nothing about a mark: "caught it a bit heavy" is heavy."""

SWING_WORDS: dict[str, str] = {
    "1/2": "half", "3/4": "three-quarter", "50%": "half", "75%": "three-quarter", "choke": "gripped-down",
    "choke down": "gripped-down", "choked": "gripped-down", "choked down": "gripped-down",
    "flat out": "flat-out",
    "flat-out": "flat-out", "full": "stock", "full out": "flat-out", "full swing": "stock",
    "grip down": "gripped-down", "gripped": "gripped-down", "gripped down": "gripped-down",
    "gripped-down": "gripped-down", "half": "half", "half swing": "half", "hard": "flat-out",
    "max": "flat-out",
    "normal": "stock", "standard": "stock", "stock": "stock", "three quarter": "three-quarter",
    "three quarters": "three-quarter", "three-quarter": "three-quarter", "top effort": "flat-out",
    "½": "half",
    "¾": "three-quarter",
}  # fmt: skip

LIE_WORDS: dict[str, str] = {
    "bunker": "sand", "fairway": "fairway", "grass": "fairway", "green": "green", "mat": "mat", "peg": "tee",
    "recovery": "recovery", "rough": "rough", "sand": "sand", "tee": "tee", "tee peg": "tee", "teed": "tee",
    "turf": "fairway",
}  # fmt: skip

CHANGE_WORDS: dict[str, str] = {
    "ball position": "ball position", "face tape": "face tape", "impact tape": "face tape",
    "tape": "face tape",
    "tee height": "tee height", "tip": "tip",
}  # fmt: skip
"""How a note that stamps a change begins -> the kind of change."""

NOT_A_COLUMN = frozenset(("player", "name", "golfer", "spieler", "jugador", "joueur"))
"""Headings that are left alone on purpose: who hit is not read from a shot table."""
