"""A judged design -> its batch: sheet, kitchen log, base lots, trace, release."""
