"""``check``: every problem and caution of one or more regimen files, the card code, page counts and sizes, and why.

Writes no file.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from typing import Any, Final, NamedTuple

from fillcards.card.staff import list_sources
from fillcards.catalogue.sources import Evidence, Source, load_sources
from fillcards.codes import list_codes
from fillcards.options import Form, Options
from fillcards.pipeline import PlacedRegimen, choose_form, place_regimen
from fillcards.plan.print_size import LARGEST_STEPS_PT, has_print, measure_scale_gap_mm
from fillcards.plan.replacing import compare_replaced
from fillcards.problems import OutputError, Problem, RegimenRefused, Severity
from fillcards.quantities import write_number
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint, is_check_stale, is_checked
from fillcards.verbs.answers import ExitCode, FileRefused, Streams, UsageError, count_words, describe_problems
from fillcards.verbs.arguments import read_options, read_regimen_of
from fillcards.verbs.changes import list_changes, write_all_changes

DECK: Final = (
    "Above {most:g} pt the large sides hold one fact each and no steps. They are safe only together with the helper's "
    "sheet, and after somebody has shown a whole fill."
)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Check the files, or tell about codes or sources."""
    if arguments.explain is not None or arguments.codes:
        if arguments.files or arguments.replacing or arguments.sources or (arguments.explain and arguments.codes):
            raise UsageError("--explain CODE and --codes go alone, not with files")
        if arguments.codes:
            return _list_codes(streams, as_json=arguments.json)
        return _explain(arguments.explain, streams, as_json=arguments.json)
    if not arguments.files:
        raise UsageError("name at least one regimen file, or - for standard input")
    if arguments.replacing is not None and len(arguments.files) > 1:
        raise UsageError("--replacing goes with one regimen file")
    if arguments.sources:
        return _list_sources(arguments, streams)
    options = read_options(arguments, streams)
    findings = [check_file(name, options, streams) for name in arguments.files]
    if arguments.json:
        streams.say_json({"files": [finding.as_dict() for finding in findings]})
    for finding in findings:
        if finding.unreadable:
            streams.warn(finding.unreadable)
        elif not arguments.json:
            streams.warn_problems(finding.problems, finding.file_name)
            streams.say(*finding.describe())
    return max(finding.exit_code for finding in findings)


class Finding(NamedTuple):
    """What was found out about one file. ``made`` is ``None`` where it is refused or cannot be read."""

    file_name: str
    problems: tuple[Problem, ...]
    made: PlacedRegimen | None = None
    unreadable: str | None = None

    @property
    def exit_code(self) -> ExitCode:
        """The code for this file alone."""
        if self.unreadable:
            return ExitCode.FILES
        return ExitCode.DONE if self.made else ExitCode.REFUSED

    def as_dict(self) -> dict[str, Any]:
        """Form for JSON."""
        if self.unreadable:
            return {"file": self.file_name, "accepted": False, "unreadable": self.unreadable, "problems": []}
        answer = describe_problems(self.file_name, self.problems)
        return answer | (describe_card(self.made) if self.made else {})

    def describe(self) -> tuple[str, ...]:
        """The summary for people, line by line."""
        refusals = sum(problem.severity is Severity.REFUSE for problem in self.problems)
        counts = [count_words(refusals, "problem")] if refusals else []
        counts += [count_words(len(self.problems) - refusals, "caution")] if len(self.problems) > refusals else []
        first = f"{self.file_name}: {', '.join(['accepted' if self.made else 'refused', *counts])}"
        if self.made is None:
            return (first,)
        sizes = (f"  sizes      {sentence}" for sentence in write_sizes(self.made))
        pages = f"  pages      {write_page_counts(self.made)}"
        return (first, f"  card code  {write_code(self.made)}", pages, *list_changes(self.made.plan), *sizes)


def check_file(file_name: str, options: Options, streams: Streams) -> Finding:
    """Check one file as far as pages."""
    try:
        regimen = read_regimen_of(file_name, options, streams)
        form = choose_form(regimen)
        is_for_print = form is Form.SMALL or has_print(regimen.patient, regimen.language)
        made = place_regimen(regimen, options._replace(form=form), is_for_print=is_for_print)
    except (FileRefused, RegimenRefused) as refusal:
        return Finding(file_name, refusal.problems)
    except OutputError as error:
        return Finding(file_name, (), unreadable=str(error))
    return Finding(file_name, made.problems, made)


def count_sides(made: PlacedRegimen) -> dict[str, int]:
    """Sides of each section in its order, by what people call it: a fill by its name, those of one name together."""
    return Counter(_name_section(page.section, made) for page in made.placed.pages)


def _name_section(section: str, made: PlacedRegimen) -> str:
    kind, _, number = section.partition(" ")
    if not number:
        return {"vials": "Your vials", "staff": "for staff"}.get(section, section)
    when = made.plan.fills[int(number) - 1].fill.when
    return f"{when}, helper's sheet" if kind == "helper" else when


def write_page_counts(made: PlacedRegimen) -> str:
    """Sides in one line."""
    if not made.placed.pages:
        return "none in print"
    if made.options.form is Form.SMALL:
        return write_small_counts(made)
    each = ", ".join(f"{name} {count}" for name, count in count_sides(made).items())
    return f"{len(made.placed.pages)}: {each}"


def write_code(made: PlacedRegimen) -> str:
    """The card code and whether somebody has checked it."""
    code = compute_card_code(made.regimen)
    if is_check_stale(made.regimen):
        return f"{code}, changed since it was checked"
    return f"{code}, {'checked' if is_checked(made.regimen) else 'not yet checked'}"


def describe_card(made: PlacedRegimen) -> dict[str, Any]:
    """The card's code and pages for JSON."""
    return {
        "card_code": compute_card_code(made.regimen),
        "fingerprint": compute_fingerprint(made.regimen),
        "is_checked": is_checked(made.regimen),
        "is_check_stale": is_check_stale(made.regimen),
        "is_sample": made.regimen.is_sample,
        "pages": {"total": len(made.placed.pages), "sections": _describe_sections(made)},
        "sizes": describe_sizes(made),
        "changes": write_all_changes(compare_replaced(made.plan)),
    }


def _describe_sections(made: PlacedRegimen) -> list[dict[str, Any]]:
    """Every section of sides in order: ``fill 1``, ``helper 1``, ``vials``, ``staff``, ``key`` or ``sheet``."""
    counts = Counter(page.section for page in made.placed.pages)
    names = {f"{kind} {each.number}": each.fill.when for each in made.plan.fills for kind in ("fill", "helper")}
    return [{"section": name, "when": names.get(name), "sides": count} for name, count in counts.items()]


def _list_codes(streams: Streams, *, as_json: bool) -> ExitCode:
    rows = list_codes()
    if as_json:
        told = [{"code": row.code, "severity": row.severity.value, "title": row.title} for row in rows]
        streams.say_json({"codes": told})
    else:
        streams.say("| code | severity | rule | sources |", "| --- | --- | --- | --- |")
        for row in rows:
            streams.say(f"| {row.code} | {row.severity.value} | {row.title} | {', '.join(row.sources)} |")
    return ExitCode.DONE


def _list_sources(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    options = read_options(arguments, streams)
    sources = {name: list_sources(read_regimen_of(name, options, streams)) for name in arguments.files}
    if arguments.json:
        told = [{"file": name, "sources": [_describe_source(each) for each in own]} for name, own in sources.items()]
        streams.say_json({"files": told})
    else:
        for name, own in sources.items():
            streams.say(f"{name}: its card rests on", *(f"  {line}" for line in write_sources(own)))
    return ExitCode.DONE


def _describe_source(source: Source) -> dict[str, str]:
    return {"document": source.document, "where": source.where, "evidence": source.evidence.value}


def _explain(code: str, streams: Streams, *, as_json: bool) -> ExitCode:
    rows = {row.code: row for row in list_codes()}
    row = rows.get(code.upper())
    if row is None:
        from difflib import get_close_matches

        near = get_close_matches(code.upper(), rows, n=3, cutoff=0.5)
        known = f"the nearest are {', '.join(near)}" if near else f"there are: {', '.join(rows)}"
        raise UsageError(f'there is no code "{code}"; {known}')
    sources = [load_sources()[key] for key in row.sources]
    if as_json:
        places = [_describe_source(source) for source in sources]
        means = {"code": row.code, "severity": row.severity.value, "title": row.title, "reason": row.reason}
        streams.say_json({**means, "sources": places})
    else:
        lines = [f"{row.code}  {row.severity.value}", f"  rule    {row.title}", f"  why     {row.reason}"]
        lines += [f"  source  {source.document}, {source.where} ({source.evidence.value})" for source in sources]
        streams.say(*lines)
    return ExitCode.DONE


def write_sizes(made: PlacedRegimen) -> tuple[str, ...]:
    """Sentences: the type sizes with their reason, then how far apart the lines of the scale are."""
    if made.options.form is Form.SMALL:
        return write_small_sizes(made)
    if made.options.form is not Form.FRIDGE:
        return ()
    if not made.placed.pages:
        return (made.size.why,)
    names = tuple(planned.fill.when for planned in made.plan.fills)
    deck = (DECK.format(most=LARGEST_STEPS_PT),) if made.size.body_pt > LARGEST_STEPS_PT else ()
    gaps_mm = _list_gaps_mm(made), _measure_real_mm(made), made.size.line_gap_mm
    return (made.size.why, *deck, *_write_vials_size(made), *write_line_gaps(names, *gaps_mm, is_deck=bool(deck)))


def _write_vials_size(made: PlacedRegimen) -> Iterator[str]:
    """Of the sheet for every fill, where it is not the reader's."""
    size_pt = _find_vials_pt(made)
    if made.size.body_pt > LARGEST_STEPS_PT:
        yield f"The sheet for every fill is in {size_pt:g} pt, for the helper."
    elif size_pt < made.size.body_pt:
        yield f"The sheet for every fill is in {size_pt:g} pt: its four sides hold no larger type."


def _find_vials_pt(made: PlacedRegimen) -> float:
    return next(page.body_pt for page in made.placed.pages if page.section == "vials")


def describe_sizes(made: PlacedRegimen) -> dict[str, Any]:
    """The same as numbers, for JSON; an enlargement is told in terms of the standard's shortest barrel."""
    if made.options.form is Form.SMALL:
        return describe_small(made)
    if made.options.form is not Form.FRIDGE:
        return {}
    size, real_mm = made.size, _measure_real_mm(made)
    return {
        "body_pt": size.body_pt,
        "vials_pt": _find_vials_pt(made) if made.placed.pages else None,
        "why": size.why,
        "enlargement_needed": round(size.line_gap_mm / real_mm, 2) if size.line_gap_mm else None,
        "fills": [
            {
                "when": planned.fill.when,
                "barrel_enlargement": round(barrel_mm / real_mm, 2),
                "count_on": "barrel" if barrel_mm >= size.line_gap_mm else "close-up",
            }
            for planned, barrel_mm in zip(made.plan.fills, _list_gaps_mm(made), strict=True)
        ]
        if made.placed.pages
        else [],
    }


def _list_gaps_mm(made: PlacedRegimen) -> tuple[float, ...]:
    """Of each fill, from line to line on the whole barrels of its front, or of its helper's sheet."""
    gaps_mm = {page.fill_number: page.line_gap_mm for page in made.placed.pages if page.line_gap_mm}
    return tuple(gaps_mm[planned.number] for planned in made.plan.fills)


def write_line_gaps(
    names: tuple[str, ...],
    barrels_mm: tuple[float, ...],
    real_mm: float,
    least_mm: float,
    *,
    is_deck: bool = False,
) -> tuple[str, ...]:
    """How far apart the lines of the scale come out, and whether this reader can tell them apart.

    Args:
        names: of the fills.
        barrels_mm: from line to line on the enlarged barrel of each fill.
        real_mm: on the standard's shortest barrel.
        least_mm: for this reader; 0 if nothing is known.
        is_deck: whether the barrels are on a helper's sheet, which serves other eyes.
    """
    needed = "Nothing is known of how far apart this reader needs the lines of a scale"
    if least_mm:
        needed = f"This reader needs the lines of a scale {_write_gap(least_mm, real_mm)}"
    points = [f"{needed}; the standard's shortest barrel has its lines {_write_figure(real_mm)} mm apart."]
    for name, barrel_mm in zip(names, barrels_mm, strict=True):
        too_fine = " That is too fine for counting: the card says so, and its check steps show the lines larger."
        too_fine = " That is too fine for this reader to count." if is_deck else too_fine
        where = "the helper's whole barrel" if is_deck else "the whole barrel"
        got = f"{name}: lines {_write_gap(barrel_mm, real_mm)} on {where}."
        points.append(got + (too_fine if barrel_mm < least_mm else ""))
    return tuple(points)


def _measure_real_mm(made: PlacedRegimen) -> float:
    syringe = made.regimen.syringe
    return measure_scale_gap_mm(syringe, syringe.shortest_scale_length_mm)


def _write_gap(gap_mm: float, real_mm: float) -> str:
    return f"{_write_figure(gap_mm)} mm apart ({_write_figure(gap_mm / real_mm, places=1)} times the standard's)"


def _write_figure(value: float, places: int = 2) -> str:
    """Rounded, and no zero after the last figure."""
    return write_number(Fraction(f"{value:.{places}f}"))


def write_sources(sources: tuple[Source, ...]) -> tuple[str, ...]:
    """A line a source, honest about how the value was obtained, with its address where it has one."""
    return tuple(_write_source(source) for source in sources)


def _write_source(source: Source) -> str:
    where = f", {source.where}" if source.where else ""
    how = "" if source.evidence in {Evidence.SEEN, Evidence.COMMON_PRACTICE} else f" ({source.evidence.value})"
    address = f" {source.address}" if source.address else ""
    return f"{source.document}{where}{how}.{address}"


def write_small_counts(made: PlacedRegimen) -> str:
    """How many pages, and what is on them: ``4: before breakfast 2, before supper 2``."""
    pages, small = made.placed.pages, made.options.small
    if small.sheet is None:
        told = [f"{name} {count}" for name, count in _count_sides(made)]
    else:
        edge = "short" if pages[0].width_mm > pages[0].height_mm else "long"
        backs = f", backs included: turn over on the {edge} edge" if small.has_backs else ""
        told = [f"{count_words(len(pages), 'side')} of {small.sheet}{backs}"]
        told.append(f"{count_words(len(pages[0].small_cards), 'card')} of {_name_size(made)} on each")
    return f"{len(pages)}: {', '.join(told)}"


def describe_small(made: PlacedRegimen) -> dict[str, Any]:
    """The same for JSON, with the type sizes."""
    names = [planned.fill.when for planned in made.plan.fills]
    sizes = zip(names, made.placed.body_sizes_pt, strict=True)
    return {
        "size": _name_size(made),
        "sheet": made.options.small.sheet,
        "cards_on_a_sheet": len(made.placed.pages[0].small_cards),
        "body_pt": [{"when": name, "body_pt": size_pt} for name, size_pt in sizes],
    }


def write_small_sizes(made: PlacedRegimen) -> tuple[str, ...]:
    """The type sizes, in a sentence a fill."""
    names = [planned.fill.when for planned in made.plan.fills]
    return tuple(
        f"{name}: body text is {size_pt:g} pt, on a card of {_name_size(made)}."
        for name, size_pt in zip(names, made.placed.body_sizes_pt, strict=True)
    )


def _count_sides(made: PlacedRegimen) -> list[tuple[str, int]]:
    numbers = [page.fill_number for page in made.placed.pages]
    return [(planned.fill.when, numbers.count(planned.number)) for planned in made.plan.fills]


def _name_size(made: PlacedRegimen) -> str:
    return made.options.small.size or made.regimen.print.paper
