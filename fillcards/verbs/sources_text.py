"""Where the values of a card come from, for people: what ``check --sources`` lists."""

from __future__ import annotations

from fillcards.sources import Evidence, Source


def write_sources(sources: tuple[Source, ...]) -> tuple[str, ...]:
    """A line a source, honest about how the value was obtained, with its address where it has one."""
    return tuple(_write_source(source) for source in sources)


def _write_source(source: Source) -> str:
    where = f", {source.where}" if source.where else ""
    how = "" if source.evidence in {Evidence.SEEN, Evidence.COMMON_PRACTICE} else f" ({source.evidence.value})"
    address = f" {source.address}" if source.address else ""
    return f"{source.document}{where}{how}.{address}"
