"""Guide: the marks, the words, what the numbers are worth, where the files are."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab.errors import MARKS, NO_REFERENCE, PLANNING
from blendlab.facts.read import figure
from blendlab.ui import parts, state

NEAR, STRENGTH = figure("tint", "near"), figure("tint", "strength_factor")
ALIKE, OTHER = figure("tint", "alike").value, figure("tint", "lamp_change").value
LEVELS = (
    ("stop", "Not for sale as it stands. A test jar to look at may still be made."),
    ("caution", "Read it, decide, and write down what you decided."),
    ("note", "Good to know; nothing has to be done."),
)
GLOSSARY = (
    ("design", "What you open, change and save: tones, arrangement, jar, top, scent, base, batch."),
    (
        "tone, dose",
        "One coloured portion of the whipped base; a pigment in it, percent of the finished portion.",
    ),
    (
        "spread",
        "Weak, likely, strong: how far the real colour may lie from the predicted one, with its Delta E.",
    ),
    (
        "Delta E",
        f"Difference of two colours (CIEDE2000): below {ALIKE:g} not seen side by side, "
        f"{NEAR.low:g} to {NEAR.high:g} visible, above {OTHER:g} another colour.",
    ),
    (
        "estimate, measured",
        "How a pigment is known: from published data for its kind, or from your own swatches.",
    ),
    ("load", "All fragrance together, percent of the finished product; not of the base."),
    ("headroom", "How much of a limit is still free. No figure is not the same as none."),
    (
        "sheet",
        "What the supplier of an oil says: highest percent by kind of use, declared names, flash point.",
    ),
    (
        "swatch card",
        "A saved design with its picture, its numbers, its findings, and the day they were judged.",
    ),
    ("shelf", "Your own pigments, oils, bases, jars and scales. A card keeps the revision it used."),
    ("lamp, eye", "The light the jar is seen under, and the colour vision of who looks."),
)
HABITS = (
    "Swatch every pigment in your own whipped base at 0.1, 0.3 and 1 %: until then strength is a guess "
    f"within a factor of {STRENGTH.low:g} to {STRENGTH.high:g}.",
    "Mica sheen is not predicted, only its body colour.",
    "Percents may be typed with comma or point; a figure with two readings is asked back.",
    "Two windows on one card: the second to save is told, and nothing is overwritten.",
    "The picture shades by one factor for all channels: the middle of the lit wall has the predicted "
    "colour. Flat colours shows them without light.",
)


def page() -> None:
    """Draw the page."""
    with st.container(key="guide", width=680):
        parts.heading("Marks")
        st.html(_table((MARKS[level], text) for level, text in LEVELS))
        parts.heading("Words")
        st.html(_table(GLOSSARY))
        parts.heading("Worth knowing")
        st.html("<ul class='bl-list'>" + "".join(f"<li>{escape(one)}</li>" for one in HABITS) + "</ul>")
        parts.heading("What the numbers are")
        st.html(
            f"<p>{PLANNING} {NO_REFERENCE} Every figure from the world carries its source and the day "
            "it was looked at.</p>"
        )
        parts.heading("Where your files are")
        st.html(
            f"<p>{escape(str(state.folder().root.resolve()))}. Copy that folder and you have a backup.</p>"
        )


def _table(rows) -> str:
    body = "".join(
        f"<tr><th scope='row'><b>{escape(name)}</b></th><td>{escape(text)}</td></tr>" for name, text in rows
    )
    return f"<table class='bl-table bl-words-table'><tbody>{body}</tbody></table>"
