"""What she typed is taken in whole: no callback of a widget is cut off by the next thing she does.

streamlit looks for a newer request whenever session state is touched, inside callbacks too, and drops a
callback that it interrupts; the figure or the tap behind it is then lost without a word. Together with
`runner.fastReruns = false`, which lets one run follow the other, this makes it look only after the callbacks.
"""

from __future__ import annotations

from functools import wraps
from typing import Any

from streamlit.runtime.state import SafeSessionState


def keep() -> None:
    """Let callbacks run to their end, from now on in this process; asked again it changes nothing."""
    plain = SafeSessionState.on_script_will_rerun
    if hasattr(plain, "__wrapped__"):
        return

    @wraps(plain)
    def whole(state: SafeSessionState, *given: Any, **named: Any) -> None:
        look = state._yield_callback
        object.__setattr__(state, "_yield_callback", lambda: None)
        try:
            plain(state, *given, **named)
        finally:
            object.__setattr__(state, "_yield_callback", look)

    SafeSessionState.on_script_will_rerun = whole
