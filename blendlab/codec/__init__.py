"""Frozen nouns to plain values and back, and plain values to JSON and back.

A noun is a frozen dataclass below `Noun`. Its fields are declared with `number`, `text`, `choice`,
`moment`, `band` or plainly by type; `decode` builds it from plain dicts, `encode` turns it back. Keys
that this version does not know stay in `extra` and are written again, and `unknown_keys` names them.
"""

from blendlab.codec.decoder import decode
from blendlab.codec.json_text import from_json, object_in, to_json
from blendlab.codec.noun import (
    YEARS,
    Noun,
    band,
    canonical,
    choice,
    digest,
    encode,
    local_time,
    moment,
    number,
    reference,
    text,
    unknown_keys,
)
from blendlab.codec.versions import format_of, refuse_newer

__all__ = [
    "YEARS",
    "Noun",
    "band",
    "canonical",
    "choice",
    "decode",
    "digest",
    "encode",
    "format_of",
    "from_json",
    "local_time",
    "moment",
    "number",
    "object_in",
    "reference",
    "refuse_newer",
    "text",
    "to_json",
    "unknown_keys",
]
