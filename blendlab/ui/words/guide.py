"""The English of the Guide: marks, words, what the numbers are worth, where the files are."""

MARKS = "Marks"
LEVELS = {
    "stop": "Not for sale as it stands. A test jar to look at may still be made.",
    "caution": "Read it, decide, and write down what you decided.",
    "note": "Good to know; nothing has to be done.",
}
WORDS = "Words"
GLOSSARY = {
    "design": "What you open, change and save: tones, arrangement, jar, top, scent, base, batch.",
    "tone, dose": (
        "One coloured portion of the whipped base; a pigment in it, percent of the finished portion."
    ),
    "spread": (
        "Weak, likely, strong: how far the real colour may lie from the predicted one, with its Delta E."
    ),
    "Delta E": (
        "Difference of two colours (CIEDE2000): below {alike:g} not seen side by side, {near_low:g} to"
        " {near_high:g} visible, above {other:g} another colour."
    ),
    "estimate, measured": (
        "How a pigment is known: from published data for its kind, or from your own swatches."
    ),
    "load": "All fragrance together, percent of the finished product; not of the base.",
    "headroom": "How much of a limit is still free. No figure is not the same as none.",
    "sheet": (
        "What the supplier of an oil says: highest percent by kind of use, declared names, flash point."
    ),
    "swatch card": (
        "A saved design with its picture, its numbers, its findings, and the day they were judged."
    ),
    "shelf": "Your own pigments, oils, bases, jars and scales. A card keeps the revision it used.",
    "lamp, eye": "The light the jar is seen under, and the colour vision of who looks.",
}
WORTH_KNOWING = "Worth knowing"
HABITS = (
    "Swatch every pigment in your own whipped base at 0.1, 0.3 and 1 %: until then strength is a guess"
    " within a factor of {strength_low:g} to {strength_high:g}.",
    "Mica sheen is not predicted, only its body colour.",
    "Percents may be typed with comma or point; a figure with two readings is asked back.",
    "Two windows on one card: the second to save is told, and nothing is overwritten.",
    "The picture shades by one factor for all channels: the middle of the lit wall has the predicted"
    " colour. Flat colours shows them without light.",
)
NUMBERS = "What the numbers are"
SOURCED = "Every figure from the world carries its source and the day it was looked at."
FILES = "Where your files are"
FOLDER = "{folder}. A copy of that folder is no backup: the book may be written to meanwhile. Make one here."
