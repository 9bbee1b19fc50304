"""`python -m tests.reachable [--topics]`: exit code 1 if something is printed."""

from __future__ import annotations

import sys
from collections import Counter

from tests.reachable.topics import strange
from tests.reachable.walk import unreached


def main(arguments: list[str]) -> int:
    """Print what the app does not reach; with --topics, which reference rows prove only that."""
    lines = list(topics() if "--topics" in arguments else definitions())
    print(*lines, sep="\n")
    return int(bool(lines))


def definitions():
    found = unreached()
    for definition in found:
        module, name = definition.place
        yield f"{module.replace('.', '/')}.py:{definition.line}: {name}"
    for room, count in Counter(definition.place[0].split(".")[1] for definition in found).most_common():
        yield f"{count:4} in {room}"


def topics():
    found = strange()
    for topic in found:
        also = "" if topic.reached else " (and nothing else)"
        yield f"{topic.topic}, {topic.rows} rows: {', '.join(topic.unreached)}{also}"
    if found:
        alone = [topic for topic in found if not topic.reached]
        yield f"{len(found)} topics, {sum(topic.rows for topic in found)} rows;"
        yield f"{len(alone)} topics, {sum(topic.rows for topic in alone)} rows through nothing else"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
