"""The English of the photos of kept jars."""

PHOTO = "Photo of the jar"
KEPT_HOW = (
    "Kept in the folder photos of your folder, at most {px} pixels wide or high, without the place, the time"
    " and the phone it was taken with. It is no reading: without a figure the day stays due."
)
WITH_PHOTO = "With a photo."
PHOTOS = "Photos"
CAPTION = "{day} · {read}"
PHOTO_ON = "Kept jar, {test}, {day}"
LIGHT = (
    "A photo shows its light too. Take them in the same place, with the same grey card in the picture, or a"
    " change of light looks like a change of colour."
)
