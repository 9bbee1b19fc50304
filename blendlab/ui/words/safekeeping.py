"""The English of what keeps her work: backup, bringing in, looking over, the bin, a damaged book."""

RESCUE = "Rescue what can be read"
RESCUE_WHAT = (
    "Rescue writes a new book of every line that can still be read, here and in the daily copies; codes go"
    " on after the last one. The damaged file is kept in bin."
)
BEGIN_ANEW = "Begin an empty book"
BEGIN_ANEW_WHAT = "Its batches, lots and sales are then no longer in the app; the file is kept in bin."
BEGIN_ANEW_YES = "Yes, begin an empty book"
BEGUN_ANEW = "An empty book was begun. The one before it lies in bin."
