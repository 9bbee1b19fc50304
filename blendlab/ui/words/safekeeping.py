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

MAKE_BACKUP = "Make a backup"
MAKE_BACKUP_WHAT = "All of your folder and the book in one file, read back at once. Keep it on another disk."
DOWNLOAD = "Download {name} ({size})"
LOOK_OVER = "Look everything over"
LOOK_OVER_WHAT = "Reads every file and the book and says what it found; nothing is changed."
NOTHING_WRONG = "Nothing was found wrong."
BRING_IN = "Bring a backup in"
BRING_IN_WHAT = "A backup made here or on another computer (.zip). Nothing of yours is overwritten."
BRING_IN_GO = "Bring it in"
BRING_IN_BOOK = "Its book takes the place of mine, which is kept in bin"
BRING_IN_PRICES = "Take the backup's prices for these"
IN_TERMINAL = "In the terminal the same is blendlab backup, blendlab verify and blendlab bring-in."
MEGABYTES = "{count:.1f} MB"

BIN = "What is in the bin"
BIN_EMPTY = "Nothing was put in the bin in the last {days} days."
BIN_OLDER = "Older things stay in the folder bin: {count}."
BIN_ROW = "{name} · {kind} · {day}"
BIN_KINDS = {"card": "card", "line": "line", "draft": "draft"}
PUT_BACK = "Put back"
PUT_BACK_DONE = "{name} is back."
