"""Random regimen files as trees, right ones and wrong ones, each made anew from the campaign's seed and its number.

Every scale, one medicine or two, one to three fills, every paper, direction, text size and acuity. About one in three
has a fault put in that touches the dose. Names and doses are invented. Knows nothing of ``fillcards``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from random import Random
from typing import Any, Final

from campaign.oracle import INSULIN_LOOKS, SCALES

Tree = dict[str, Any]

FAULTY: Final = 0.3
PAPERS: Final = ("letter",) * 4 + ("a4",) * 4 + ("half_letter", "a5", "a6", "4x6 in", "110 x 170 mm")
WHENS: Final = ("before breakfast", "before supper", "at bedtime", "06:15", "20:00", "noon, second syringe")
DAYS: Final = (
    "every day",
    ["tuesday"],
    ["monday", "thursday"],
    ["monday", "tuesday", "wednesday", "thursday", "friday"],
)
NAMES: Final = (None, "Sample Patient", "Wilhelmina-Alexandrina Featherstonehaugh-Throckmorton")
NAMES_IN: Final = {
    "es": (None, "Sample Patient", "María de la Concepción Núñez-Yánez y Echevarría"),
    "vi": (None, "Sample Patient", "Nguyễn Thị Hạnh"),
    "ru": (None, "Sample Patient", "Щукина-Преображенская Александра Всеволодовна"),
    "ar": (None, "Sample Patient", "نور الهدى عبد الرحمن القحطاني"),
    "hi": (None, "Sample Patient", "नेहा शर्मा"),
}
NOTES: Final = (
    "Bring this card to each visit.",
    "Bring your own needles." + " Ask at the desk if the door is shut." * 4,
)
NOTES_IN: Final = {
    "ar": ("أحضر هذه البطاقة في كل زيارة.", "أحضر إبرك معك." + " اسأل في المكتب إذا كان الباب مغلقًا." * 4)
}
"""Words of a clinic must run as the card does."""
OTHERS: Final = (("medicine E", "medicine F"), ("a medicine with a long generic name", "medicine G, example"))
ACUITIES: Final = ("20/40", "20/63", "20/80", "20/100", "20/125", "20/160", "20/200", "20/300", "20/400")
CONTACT: Final = {"who": "Clinic", "phone": "555-0100"}
STRENGTHS: Final = ("0.5 mg/mL", "2.5 mg/mL", "10 mg/mL", "50 mg/mL", "1000 mcg/mL", "250 mcg/mL")
STRENGTHS_IN_UNITS: Final = ("5000 units/mL", "10000 units/mL", "20 units/mL")
MIXABLE: Final = {
    "U-100": ("insulin regular", "insulin aspart", "insulin glulisine", "insulin lispro"),
    "U-40": ("insulin regular",),
}


def draw_regimen(seed: int, number: int, language: str = "en") -> Tree:
    """The regimen of that number in the campaign with that seed; in another language the same with its own names."""
    random = Random(f"{seed}/{number}")
    row = random.choice(SCALES)
    medicines = _draw_medicines(random, row[0])
    tree: Tree = {
        "fillcards": "1",
        "language": language,
        "patient": _draw_patient(random, NAMES_IN.get(language, NAMES)),
        "print": {
            "paper": random.choice(PAPERS),
            "barrel": random.choice(("needle_up", "needle_left", "needle_right")),
        },
        "syringe": _draw_syringe(random, row, by_mouth=medicines["a"].get("route") == "by mouth"),
        "medicines": medicines,
        "fills": [
            _draw_fill(random, when, medicines, row, is_first=number == 0)
            for number, when in enumerate(random.sample(WHENS, random.choice((1, 1, 2, 3))))
        ],
        "review": {"prepared_by": "A. Preparer", "date": "2026-11-25"},
    }
    if random.random() < 0.5:
        tree["contacts"] = [CONTACT] * random.choice((1, 1, 3))
    if random.random() < 0.3:
        tree["notes"] = random.choice(NOTES_IN.get(language, NOTES))
    if random.random() < 0.3:
        tree["sample"] = "true"
    if random.random() < FAULTY:
        random.choice(FAULTS)(random, tree)
    return tree


def _draw_patient(random: Random, names: tuple[str | None, ...]) -> Tree:
    patient: Tree = {"kind": random.choice(("person", "person", "animal"))}
    if name := random.choice(names):
        patient["name"] = name
    match random.choice(("nothing", "size", "acuity", "acuity")):
        case "size":
            patient["text_size"] = f"{random.randrange(18, 97, 2)} pt"
        case "acuity":
            patient["reads"] = f"{random.choice(ACUITIES)} at {random.choice((25, 33, 40, 40))} cm"
            if random.random() < 0.3:
                patient["reserve"] = "3"
    return patient


def _draw_syringe(random: Random, row: tuple[str, ...], *, by_mouth: bool) -> Tree:
    scale, capacity, line_every, _, _, shortest = row
    needle = "none" if by_mouth else random.choice(("fixed", "fixed", "detachable"))
    syringe = {"scale": scale, "capacity": f"{capacity} mL", "line_every": _write_line(line_every, scale)}
    if random.random() < 0.3:
        numbered = Fraction(line_every) * random.choice((1, 2, 4, 5, 7, 10, 20, 25))
        syringe["numbered_every"] = _write_line(numbered, scale)
    if random.random() < 0.4:
        syringe["scale_length"] = f"{int(shortest) + random.randrange(20)} mm"
    return {**syringe, "needle": needle}


def _draw_medicines(random: Random, scale: str) -> Tree:
    strength = f"{scale.removeprefix('U-')} units/mL"
    if scale in {"U-100", "U-40"} and random.random() < 0.55:
        clear = _draw_insulin(random, random.choice(MIXABLE[scale]), strength)
        return {"a": clear, "b": _draw_insulin(random, "insulin isophane", strength)}
    if scale != "mL" and random.random() < 0.6:
        usual = {"U-100": "insulin glargine", "U-40": "insulin isophane", "U-500": "insulin regular concentrated"}
        kind = usual[scale] if scale != "U-100" or random.random() < 0.4 else random.choice(tuple(INSULIN_LOOKS))
        return {"a": _draw_insulin(random, kind, strength)}
    return _draw_others(random, is_ml=scale == "mL")


def _draw_insulin(random: Random, kind: str, strength: str) -> Tree:
    medicine: Tree = {"kind": kind, "strength": strength}
    if random.random() < 0.7:
        medicine["vial"] = "10 mL"
    if random.random() < 0.5:
        medicine["vial_mark"] = random.choice(("one rubber band", "a red lid", "two strips of tape"))
    if kind == "insulin lispro" and random.random() < 0.5:
        medicine["mixing_checked_by"] = "B. Checker"
    return medicine


def _draw_others(random: Random, *, is_ml: bool) -> Tree:
    """One medicine the catalogue does not know, or two that may share."""
    route = random.choice(("under the skin", "into muscle", "by mouth")) if is_ml else "under the skin"
    strength = random.choice((*STRENGTHS, *STRENGTHS_IN_UNITS) if is_ml and route != "by mouth" else STRENGTHS)
    names = random.choice(OTHERS)
    is_pair = route != "by mouth" and random.random() < 0.3
    medicines: Tree = {}
    for key, name, look, partner in zip("ab", names, ("clear", "cloudy white"), "ba", strict=True):
        medicines[key] = {
            "kind": "other",
            "name": name,
            "strength": strength,
            "look": look if is_pair else random.choice(("clear", "cloudy", "clear yellow")),
            "motion": random.choice(("none",) * (4 if is_pair and key == "a" else 1) + ("roll", "shake")),
            "may_share_with": [partner] if is_pair else "none",
            "air": "none" if route == "by mouth" else random.choice(("equal", "none")),
            "route": route,
            "use_within": "28 days",
        }
        if random.random() < 0.5:
            medicines[key]["vial"] = random.choice(("30 mL", "100 mL"))
        if not is_pair:
            break
    return medicines


def _draw_fill(random: Random, when: str, medicines: Tree, row: tuple[str, ...], *, is_first: bool) -> Tree:
    """A first fill uses every medicine of the file; a later one may use fewer. The order in the file means nothing."""
    keys = list(medicines) if is_first or random.random() < 0.6 else [random.choice(list(medicines))]
    per_ml = Fraction(row[0].removeprefix("U-")) if row[0] != "mL" else Fraction(1)
    count = int(per_ml * Fraction(row[1]) / Fraction(row[2]))
    stops = sorted(random.sample(range(1, count + 1), len(keys)))
    draw = {
        key: _write_dose(random, (stop - before) * Fraction(row[2]), medicines[key], per_ml)
        for key, before, stop in zip(keys, (0, *stops), stops, strict=False)
    }
    fill: Tree = {"when": when, "draw": dict(random.sample(list(draw.items()), len(draw)))}
    if medicines["a"]["kind"] == "other" or random.random() < 0.5:
        fill["days"] = random.choice(DAYS)
    if when.startswith("before") and random.random() < 0.3:
        fill["minutes_before"] = "30"
    return fill


def _write_dose(random: Random, line: Fraction, medicine: Tree, per_ml: Fraction) -> str:
    """The dose that alone reaches a line, in a unit that fits the strength, or in mL."""
    strength, unit = medicine["strength"].split()
    if medicine["kind"] != "other":
        return _write_amount(line, "units")
    if random.random() < 0.3 and unit != "units/mL":
        return _write_amount(line / per_ml, "mL")
    amount = line / per_ml * Fraction(strength)
    if unit == "mg/mL" and random.random() < 0.3:
        return _write_amount(amount * 1000, "mcg")
    if unit == "mcg/mL" and random.random() < 0.3:
        return _write_amount(amount / 1000, "mg")
    return _write_amount(amount, unit.removesuffix("/mL"))


def _write_line(amount: Fraction | str, scale: str) -> str:
    return _write_amount(Fraction(amount), "mL" if scale == "mL" else "units")


def _write_amount(amount: Fraction, unit: str) -> str:
    number = f"{float(amount):.6f}".rstrip("0").rstrip(".")
    return f"{number} {'unit' if (number, unit) == ('1', 'units') else unit}"


def _change_a_dose(change: Callable[[Random, Fraction, str], str]) -> Callable[[Random, Tree], None]:
    def put_in(random: Random, tree: Tree) -> None:
        draw = random.choice(tree["fills"])["draw"]
        key = random.choice(list(draw))
        amount, unit = draw[key].split()
        draw[key] = change(random, Fraction(amount), "units" if unit == "unit" else unit)

    return put_in


def _change_a_medicine(change: Callable[[Random, Tree], object]) -> Callable[[Random, Tree], object]:
    return lambda random, tree: change(random, random.choice(list(tree["medicines"].values())))


def _use_another_kind(random: Random, medicine: Tree) -> None:
    if medicine["kind"] != "other":
        medicine["kind"] = random.choice(tuple(INSULIN_LOOKS))
    else:
        medicine["look"] = random.choice(("clear", "cloudy", "milky"))


def _use_another_syringe(random: Random, tree: Tree) -> None:
    scale, capacity, line_every, *_ = random.choice(SCALES)
    line = _write_line(line_every, scale)
    tree["syringe"] |= {"scale": scale, "capacity": f"{capacity} mL", "line_every": line}
    tree["syringe"].pop("numbered_every", None)


FAULTS: Final[tuple[Callable[[Random, Tree], object], ...]] = (
    _change_a_dose(lambda random, amount, unit: _write_amount(amount * Fraction(random.choice("134579")) / 2, unit)),
    _change_a_dose(lambda random, amount, unit: _write_amount(amount + Fraction(random.choice((1, 3, 7)), 10), unit)),
    _change_a_dose(lambda random, amount, unit: _write_amount(amount * random.choice((2, 10, 100)), unit)),
    _change_a_dose(lambda random, amount, _: _write_amount(amount, random.choice(("units", "mg", "mcg", "mL")))),
    _change_a_dose(lambda _r, amount, _u: _write_amount(amount, "").strip()),
    _change_a_dose(lambda random, amount, unit: random.choice((f"0{amount} {unit}", f"{amount}{unit}", f"{amount} U"))),
    _change_a_dose(lambda _r, amount, unit: f"{_write_amount(amount, '')}to {amount + 2} {unit}"),
    _change_a_dose(lambda _r, _a, unit: f"0 {unit}"),
    _change_a_medicine(lambda random, medicine: medicine.update(strength=random.choice((*STRENGTHS, "40 units/mL")))),
    _change_a_medicine(lambda random, medicine: medicine.update(strength=f"{random.choice((40, 100, 500))} units/mL")),
    _change_a_medicine(lambda random, medicine: medicine.update(vial=random.choice(("0.1 mL", "0.3 mL", "1 mL")))),
    _change_a_medicine(lambda _, medicine: medicine.pop("strength", None)),
    _change_a_medicine(_use_another_kind),
    _use_another_syringe,
    lambda random, tree: tree["syringe"].update(scale=random.choice(("U-100", "U-40", "U-500", "mL"))),
    lambda random, tree: tree["syringe"].update(numbered_every=random.choice(("3 units", "0.3 units", "0.25 mL"))),
    lambda _, tree: tree["medicines"]["a"].update(route="by mouth") if "route" in tree["medicines"]["a"] else None,
    _change_a_medicine(lambda _, medicine: "look" in medicine and medicine.update(may_share_with="none")),
)


def write_yaml(node: Any, indent: int = 0) -> str:
    """The tree as the text of a file, in the style of a person: one key a line, quotes only where needed."""
    space = " " * indent
    if isinstance(node, dict):
        return "".join(f"{space}{key}:{_write_value(value, indent)}\n" for key, value in node.items())
    return "".join(f"{space}- {write_yaml(item, indent + 2).strip()}\n" for item in node)


def _write_value(value: Any, indent: int) -> str:
    if not isinstance(value, str):
        is_flow = isinstance(value, list) and isinstance(value[0], str)
        return f" [{', '.join(value)}]" if is_flow else f"\n{write_yaml(value, indent + 2).rstrip()}"
    return f" {value}" if re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 .,/_-]*(?<! )", value) else f' "{value}"'
