"""The English of Look: tones, arrangement, top, jar, lamps, mixes, test jars, comparing, taking away."""


# --- the page -------------------------------------------------------------------------------------

BESIDE = "Beside a photo, or before the last change"
ENDS_FOLD = "Weak or strong, and is your screen right"
SHOWN_AT = "{jar} Shown {end}."
NEXT = "Next: the scent"
NOTHING_TO_DRAW = "No jar to draw: choose a jar and a base that are on the shelf."
TURN = "Turn, degrees"
LAMP = "Lamp"
EYE = "Eye"
WEEKS = "Weeks on the shelf"
WEEKS_UNIT = "weeks"
LIGHT = "Light"
LAMPS = {
    "D65": "Daylight",
    "D50": "Warm daylight",
    "A": "Bulb",
    "FL2": "Old office tube",
    "LED-B3": "Shop LED",
}
EYES = {
    "usual": "Usual",
    "protan": "Red-weak (protan)",
    "deutan": "Green-weak (deutan)",
    "tritan": "Blue-weak (tritan)",
}
MODES = {"shaded": "As a jar", "flat": "Flat colours"}
SIDES = {"above": "from above", "wall": "wall, rolled out", "cut": "cut open"}

# --- tones ----------------------------------------------------------------------------------------

TONES = "Tones, top of the jar first"
ADD_TONE = "Add a tone"
NEW_TONE = "White"
DOSE = "{pigment} {pct} %"
NO_PIGMENT = "no pigment"
SHARE_OF = "Share of {tone}, percent by weight of the jar"
EDIT = "Edit"
PIGMENT_KNOWN = "{pigment} ({known})"
NUMBERS = "{hex} · L*a*b* {lab} · {known} · spread ΔE {delta_e:.1f}. {seam}"
SEAM = "A seam you cannot see will not show in the jar either."
GAMUT = "Deeper than this screen can show."
DOSE_OF = "{pigment}, percent of {tone}"
PIGMENT_OF = "Pigment {number} of {tone}"
TAKE_OUT_PIGMENT = "Take {pigment} out"
ADD_PIGMENT = "Add a pigment"
RENAME_MOVE = "Rename, move"
NAME_OF_TONE = "Name of the tone"
MOVE_UP = "Move up"
MOVE_DOWN = "Move down"
REMOVE_TONE = "Remove tone"
ONE_TONE = "A jar needs one tone at least."
DONE_PIGMENT = "Pigment {pigment}"
DONE_NAME = "Name of a tone"
DONE_ORDER = "Order of the tones"
DONE_NEW_TONE = "A new tone"
DONE_TONE_OUT = "A tone taken out"
DONE_PIGMENT_MORE = "A pigment more"
DONE_PIGMENT_LESS = "A pigment less"

# --- arrangement, top, jar ------------------------------------------------------------------------

IN_THE_JAR = "In the jar"
ARRANGEMENT = "Arrangement"
TOP = "Top"
TOPS = {"flat": "Flat", "dome": "Dome", "star": "Star"}
JAR = "Jar"
TONE_OF_TOP = "Tone of the top"
ALL_TONES = "all tones"
BY_PICTURE = "Choose by picture"
HOLDS = "Top, fill and what the jar holds"
DUST = "Dust"
NO_DUST = "none"
DONE_NO_DUST = "No dust"
DONE_DUST = "Dust: {mica}"
DESIGN_AS = "This design as {name}"
DONE_ARRANGEMENT = "Arrangement: {name}"
DONE_TOP = "Top: {name}"
BAG = "Side by side in one piping bag"
TIP = "Width of the tip, mm"
BAG_TAKES = "One bag takes, ml"
BAGS = "Bags"
BAGS_FOR = "{bags} for {jars} jars, {grams:.0f} g each"
SIDE_OF_BAG = "{bag:.0f} g a bag, {jar:.1f} g a jar, {angle:.0f}° of the bag"
ROPE = "Rope of a jar"
MM = "{mm:.0f} mm"
TURNS_OF_TIP = "Turns of a {tip:g} mm tip: {turns:.1f}"
HEIGHT = "Height, mm"
HEADSPACE = "Headspace, mm"
DUST_DOSE = "Dust, mg/cm2"
POINTS = "Points"
DONE_POINTS = ("{count} point", "{count} points")
SUNK = "Sunk by then, mm"

# --- what the jar holds ---------------------------------------------------------------------------

GRAMS_ML = "{grams:.1f} g, {ml:.1f} ml"
ABOVE_EDGE = "{ml:.1f} ml of it stand above the edge of the filling"
NET = "Net weight"
NET_WEIGHED = "{grams:.0f} g at {density:.2f} g/ml, weighed"
NET_RANGE = "{low:.0f} to {high:.0f} g, about {grams:.0f} g at {density:.2f} g/ml: not weighed"
NAME_OF_JAR = "Name of the jar"
LESS_THAN_NAME = (
    "{ml:.0f} ml, {ounces:.1f} fl oz; the weight is {weight:.1f} oz, {pct:.0f} % less than the name"
)
MORE_THAN_NAME = (
    "{ml:.0f} ml, {ounces:.1f} fl oz; the weight is {weight:.1f} oz, {pct:.0f} % more than the name"
)
OVERFILL = "With the overfill"
TO_PUT_IN = "{grams:.1f} g to put in"
LIES = "covers about {covered:.0f} % of the top, about {plates:.0f} plates a square millimetre (estimate)"
THROUGH_WALL = "Through the wall"
WIDER = "its middle looks {wider:.0f} % wider than it is"
SEEN_APART = "What is seen is not what is weighed: price and label use the weight."
TONE = "Tone"
BY_WEIGHT = "by weight"
ON_WALL = "on the wall"
IN_VIEW = "in this view"
FROM_ABOVE = "from above"
WALL_AND_TOP = "wall and top"

# --- lamps and eyes -------------------------------------------------------------------------------

LAMPS_AND_EYES = "Lamps and eyes"
LAMPS_SAID = "As it looks to an eye that has got used to the lamp; the figures are the change from daylight."
EYES_SAID = "For an eye without one kind of cones; the figure is between the two tones that are nearest."
STRIP_TONES = "Tones"
STRIP_CHANGE = "Change"
STRIP_NEAREST = "Nearest two"
STRIP = "{name}: {colours}"
CHANGES = "Delta E {figures}"
LEAST = "{first}, {second}: Delta E {apart:.1f}"

# --- a mix for a colour ---------------------------------------------------------------------------

FIND_MIX = "Find a mix"
FOR_TONE = "For {tone}, as an open surface in daylight."
SHOW = "Show"
MIXES_OR_REACH = {"mixes": "Three mixes", "reach": "What the shelf reaches"}
PIGMENTS_AT_MOST = "Pigments at most"
MIX = "Mix {number}"
TAKE_MIX = "Take mix {number}"
DONE_MIX = "Mix {number} for {tone}"
DONE_COLOUR = "Colour: {colour}"
MODEL = "True in the model: strengths on your shelf decide how near the jar comes."
WANTED_BLOCK = "wanted"
MIX_BLOCK = "mix {number}"
REACH_AT_WORK = "Working out what the shelf reaches"
EMPTY_SHELF = "No pigment on the shelf."
NEAREST = "Nearest you can reach: Delta E {delta_e:.1f}, {colour}."
AROUND = "Lighter above, darker below, the hue turns from left to right; the middle is the wanted colour."
TAKE_ANOTHER = "Take another one"
TAKE_COLOUR = "Take this colour"
REACHED = "Colours the shelf reaches, nearest {nearest}"
SCREEN = "{base}. Hold a jar of the undyed base beside this patch in daylight. {alike}"
ALIKE = "If both look alike, the screen shows pale colours as they are; if not, trust the numbers."

# --- a colour from outside ------------------------------------------------------------------------

KNOWN_FROM = "Known from"
WAYS = {"hex": "Colour or hex", "lab": "Lab", "photo": "Photo"}
COLOUR = "Colour"
HEX = "Hex"
INSTRUMENT_LAMP = "Lamp of the instrument"
INSTRUMENT_OF = "{lamp}, {name}"
OBSERVER = "Observer"
DEGREES = "{degrees} degrees"
PHOTO_WITH_CARD = "Photo with a card and the swatch"
NO_PHOTO = "Put the card, the swatch and a swatch of the base side by side in daylight without sun."
SWATCH_ON_PHOTO = "swatch on the photo"
MEASURED_OFF = "{colour}, uneven by {uneven:.1f} %, plus or minus Delta E {error:g}."
CARD_IN_PICTURE = "Card in the picture"
GREY_CARD_OF = "grey card, {pct:.0f} %"
WHITE_CARD_OF = "white card, {pct:.0f} %"
OTHER_CARD = "another card"
CHART_CARD = "chart of 24"
CARD_TWICE = "The card lies in it twice"
BASE_IN_IT = "A swatch of the base lies in it"
MARKS = {"card": "Card", "card2": "Card again", "chart": "Chart", "base": "Base", "swatch": "Swatch"}
ACROSS = "{mark}, across"
DOWN = "{mark}, down"
MARK_MIDDLE = "Mark the middle of each; a mark inside its edge is measured best."
CARD_SHARE = "Light it throws back, percent"

# --- test jars ------------------------------------------------------------------------------------

TEST_JARS = "Test jars"
TEST_JARS_COUNT = "Test jars ({count})"
NO_TEST_JAR = "No test jar of this tone yet. Make one, look at it in its jar, note what came out."
NOT_MEASURED_YET = "not measured yet"
NOT_MEASURED = "not measured"
FROM_PREDICTION = "Delta E {apart:.1f} from the prediction"
TAKE_OUT = "Take out"
PREDICTED_MEASURED = "predicted {predicted}, measured {measured}"
PREDICTED_ONLY = "predicted {predicted}, not measured"
NEW_TEST_JAR = "Note a test jar of the doses as they are now"
VERDICT = "Verdict"
NO_VERDICT = "none yet"
NOTE = "Note"
KEEP_TEST_JAR = "Keep this test jar"
DONE_TEST_JAR = "A test jar"
DONE_TEST_JAR_OUT = "A test jar taken out"
LESSON = "What the test jars teach"
CORRECT_STRENGTHS = "Correct the strengths by these test jars"
CORRECTED = "Strengths corrected by test jars. Designs keep what they took until they take it again."

# --- comparing ------------------------------------------------------------------------------------

COMPARE = "Compare"
BENCH = "on the bench"
BEFORE = "before the last change"
CHOOSE_CARDS = "Choose two to four cards to compare."
ONE_LIGHT = "All in the lamp, the eye and the turn of the first, at one scale."
APART = "{tones}: Delta E {delta_e:.1f}"
NO_DIFFERENCE = "Nothing is different but the name."
DIFFERENT = "What is different"
REAL_JAR = "The real jar"
REAL_PHOTO = "Photo of the real jar"
MARK_JAR = "Mark the jar on the photo by its sides, its rim and its foot; a grey card gives the light."
JAR_MARK = "jar"
GREY_CARD_MARK = "grey card"
HAS_GREY_CARD = "A grey card is in the photo"
GREY_CARD = "Grey card"
WIPE = "Predicted left of the line, photo right"
WIPED = "Left {pct} %: {jar} Right of it the photo."
NO_GREY_CARD = (
    "No grey card: the photo keeps its own light, so compare shapes and differences, not single colours."
)
THE_MARKS = "The marks"
MARKED = "The photo with the marks on it"

# --- pictures to take away ------------------------------------------------------------------------

PICTURES = "Pictures to take away"
VIEW = "View"
VIEWS = {"front": "Front", "wall": "Wall, rolled out", "above": "From above", "cut": "Cut open"}
SIZE = "Size"
SIZES = {1: "1x", 2: "2x", 3: "3x"}
GROUND = "Ground"
GROUNDS = {"panel": "grey", "white": "white", "none": "transparent"}
SCALE_BAR = "Scale bar"
LID_ON = "Lid on"
SHRUNK = "Shrunk from the wall, a film of air between"
PICTURE_FILE = "Picture, {width} x {height} (PNG)"
IN_WORDS = "In words:"
VARY = "Hand-made: colours vary a little from jar to jar."
SPREAD_FILE = "Weak, likely, strong (PNG)"
TURNTABLE = "Make the turntable"
TURNED = "Turning the jar"
TURNED_SO_FAR = "{done} of {total} pictures"
TURNS = "24 pictures, 3 seconds a turn."
TURNS_ONCE = "{jar} The jar turns once in 3 seconds."
TURNTABLE_FILE = "Turntable, {size:.0f} KiB (WebP)"
SHOW_TONES = "Show the tones"
ENDS = {"likely": "Likely", "weak": "Weak", "strong": "Strong"}
ENDS_HELP = "The real colours lie between weak and strong four times out of five."
ROW_FILES = {"white": "Row (PNG)", "none": "Row, transparent (PNG)"}
