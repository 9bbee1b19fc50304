"""The English of the jars on the Shelf."""

NAME = "Name"
NAME_HINT = "120 ml from the glassworks"
NOMINAL = "Sold as"
UNIT = "Unit"
UNITS = {"ml": "ml", "fl oz": "fl oz"}
SHAPE = "Shape"
SHAPES = {"straight": "Straight", "taper": "Tapered", "shoulder": "With a shoulder"}
OUTLINE = {
    "outer": "Outside diameter, mm",
    "inner": "Inside diameter, mm",
    "height": "Inside height, mm",
}
TAPER = {"bottom": "Inside diameter at the bottom, mm"}
SHOULDER = {"shoulder": "Radius of the shoulder, mm", "neck": "Height of the neck, mm"}
INSIDE = {"water": "Water to the brim, g", "base": "Bottom, mm", "corner": "Corner, mm"}
CLOSED = {"lid_inner": "Height inside the lid, mm", "headspace": "Headspace, mm"}
WALL = "Wall"
MATERIALS = {
    "glass": "glass",
    "polyester": "clear polyester",
    "acrylic": "acrylic",
    "polystyrene": "polystyrene",
    "polypropylene": "polypropylene, hazy",
}
LID = "Lid"
LIDS = {"flat": "flat", "domed": "domed, clear"}
SCOPE = "Round clear jars only: frosted, tinted, faceted and square ones are not drawn."
WATER = (
    "Fill it to the brim with water on the scale: 1 g is 1 ml. Volumes then follow the water, whatever the "
    "caliper says."
)
UNNAMED = "this jar"

# one jar
ML = "{ml:.0f} ml"
MM = "{mm:g} mm"
TO_THE_RIM = "Takes to the rim"
WATER_WEIGHED = "Water weighed"
WATER_SAYS = "{grams:g} g, {factor:.3f} of the measures"
WIDTHS = "Outside, inside"
WIDTHS_MM = "{outer:g} mm, {inner:g} mm"
HEIGHT = "Inside height"
HEIGHT_MM = "{height:g} mm, bottom {bottom:g} mm thick"
IS_STRAIGHT = "straight"
IS_TAPERED = "tapered, {bottom:g} mm inside at the bottom"
HAS_SHOULDER = "shoulder of {radius:g} mm, neck {neck:g} mm high"
CORNER = "Corner"
NO_CORNER = "none measured"
HEADSPACE = "Headspace"
LID_MM = "{lid}, {mm:g} mm inside"
CONTACT = "Contact with the wall"
KNOWN_FROM = "Known from"
AGAIN = "Measure it again"
WETTED = "{pct:.0f} % of it wetted"
NOT_FITTED = "not known; walls are drawn like the open surface"

# its contact, from a photo
CONTACT_WHY = (
    "Where foam lies wet on the wall a tone looks deeper than in the open. One photo of your jar tells how "
    "far: the open top and the wall of the same tone, in the same light."
)
PHOTO = "Photo of {name}"
TONE = "Tone in the photo"
MARKS = {"top": "Open top", "wall": "Wall"}
DRAWN_MARKS = {"top": "open top", "wall": "wall"}
BOTH_MARKS = "The photo with both marks"
FITTED = "{pct:.0f} % of the wall is wetted; the fit misses by {misfit:.0f} % of the light."
BEYOND = "The photo alone says {pct:.0f} %: look for a shadow or a reflection in a mark."
HARDLY = "This tone hardly changes behind a wall; a deeper one tells more."
TAKE = "Take {pct:.0f} % →"
TAKEN = "{name}: {pct:.0f} % of the wall wetted."
