"""The way a dosage line is to be given: its route, site and method, each of which must be one that a card is made for.

Codes: SNOMED CT in the FHIR R4 value sets of routes and methods; the words are those they are written with in English.
Source: snomed-ct-routes and snomed-ct-methods; the words are common practice.
"""

from __future__ import annotations

from typing import Final

from fillcards.catalogue.model import Route
from fillcards.intake.element import Element
from fillcards.intake.fhir_concept import list_texts
from fillcards.intake.fhir_explain import build_phrase
from fillcards.strict_text import quote_text

_SNOMED: Final = "http://snomed.info/sct"
_ROUTE_OF_CODE: Final = {
    "34206005": Route.UNDER_THE_SKIN,
    "78421000": Route.INTO_MUSCLE,
    "26643006": Route.BY_MOUTH,
}
WORDS_OF_ROUTE: Final = {
    Route.UNDER_THE_SKIN: (
        *("subcutaneous", "subcutaneously", "subcut", "sc", "subcutaneous use", "subcutaneous injection"),
        *("by subcutaneous injection", "under the skin", "under your skin"),
    ),
    Route.INTO_MUSCLE: (
        *("intramuscular", "intramuscularly", "intramuscular use", "intramuscular injection", "into muscle"),
        *("into the muscle", "by intramuscular injection"),
    ),
    Route.BY_MOUTH: ("oral", "orally", "oral use", "by mouth"),
}
_ROUTE_OF_WORD: Final = {word: route for route, words in WORDS_OF_ROUTE.items() for word in words}
_ROUTE_ENDINGS: Final = (" (qualifier value)", " route", " route of administration")

_INJECTED: Final = (Route.UNDER_THE_SKIN, Route.INTO_MUSCLE)
_ROUTES_OF_METHOD_CODE: Final = {"422145002": _INJECTED, "421521009": (Route.BY_MOUTH,), "419652001": (Route.BY_MOUTH,)}
_ROUTES_OF_METHOD: Final = {
    **dict.fromkeys(("inject", "injection"), _INJECTED),
    **dict.fromkeys(("subcutaneous injection", "inject subcutaneously", "inject under the skin"), _INJECTED[:1]),
    **dict.fromkeys(("intramuscular injection", "inject intramuscularly"), _INJECTED[1:]),
    **dict.fromkeys(("swallow", "take", "drink"), (Route.BY_MOUTH,)),
}
_METHOD_ENDINGS: Final = (" (qualifier value)", " - dosing instruction imperative")

_AROUND_A_SITE: Final = frozenset(
    ("left", "right", "upper", "lower", "outer", "skin", "tissue", "region", "wall", "structure", "of", "the", "or")
)
_SITE_WORDS: Final = {
    Route.UNDER_THE_SKIN: frozenset(
        ("abdomen", "abdominal", "belly", "thigh", "thighs", "arm", "arms", "buttock", "buttocks", "subcutaneous")
    ),
    Route.INTO_MUSCLE: frozenset(("deltoid", "thigh", "thighs", "arm", "arms", "buttock", "buttocks", "muscle")),
    Route.BY_MOUTH: frozenset(("mouth", "oral")),
}
_SITE_ENDINGS: Final = (" (body structure)", " (qualifier value)")
_ASK: Final = "ask the prescriber or the pharmacist; no card is made for another way of giving it"


def read_route(dosage: Element, *, is_insulin: bool) -> Route | None:
    """The route of a dosage line; ``None`` where it says none or one that is refused, which is noted.

    An insulin without a route goes under the skin: no card is made for it otherwise.
    """
    fitting = (Route.UNDER_THE_SKIN,) if is_insulin else tuple(Route)
    route = Route.UNDER_THE_SKIN if is_insulin else None
    if concept := dosage.find_child("route"):
        stated = _list_routes(concept)
        route = next(iter(stated)) if len(stated) == 1 else None
        if route not in fitting:
            route = None
            _refuse(dosage, "route", f"one of: {', '.join(each.value for each in fitting)}")
    ways = fitting if route is None else (route,)
    _check_method(dosage, ways)
    _check_site(dosage, ways)
    return route


def _list_routes(concept: Element) -> set[Route | None]:
    """What each code and each word says; where a code has a word beside it, both count."""
    stated = {_ROUTE_OF_WORD.get(_strip(text, _ROUTE_ENDINGS)) for text in list_texts(concept)}
    for coding in concept.list_children("coding"):
        if coding.find_text("system") == _SNOMED or not coding.has("display"):
            stated.add(_ROUTE_OF_CODE.get(coding.find_text("code") or ""))
    return stated


def _check_method(dosage: Element, ways: tuple[Route, ...]) -> None:
    concept = dosage.find_child("method")
    if concept is None:
        return
    stated = [_ROUTES_OF_METHOD.get(_strip(text, _METHOD_ENDINGS), ()) for text in list_texts(concept)]
    for coding in concept.list_children("coding"):
        code = coding.find_text("code") if coding.find_text("system") == _SNOMED else None
        if code in _ROUTES_OF_METHOD_CODE or not coding.has("display"):
            stated.append(_ROUTES_OF_METHOD_CODE.get(code or "", ()))
    if not stated or not all(set(routes) & set(ways) for routes in stated):
        _refuse(dosage, "method", f"a way of giving it that is {' or '.join(way.value for way in ways)}, in words")


def _check_site(dosage: Element, ways: tuple[Route, ...]) -> None:
    concept = dosage.find_child("site")
    if concept is None:
        return
    texts = list_texts(concept)
    sites = frozenset[str]().union(*(_SITE_WORDS[way] for way in ways))
    words = [set(build_phrase(_strip(text, _SITE_ENDINGS))) for text in texts]
    is_named = all(each & sites and each <= sites | _AROUND_A_SITE for each in words)
    is_code_alone = any(not coding.has("display") for coding in concept.list_children("coding"))
    if not words or not is_named or (is_code_alone and not concept.has("text")):
        _refuse(dosage, "site", f"a site of these, in words: {', '.join(sorted(sites))}")


def _strip(text: str, endings: tuple[str, ...]) -> str:
    """Small letters and single spaces, without what a code's display adds at the end."""
    text = " ".join(text.casefold().split())
    for ending in endings:
        text = text.removesuffix(ending)
    return text


def _refuse(dosage: Element, name: str, expected: str) -> None:
    found = f"the {name} {quote_text(next(dosage.describe(name)).removeprefix(f'{name}: '))}"
    dosage.refuse("FHIR-020", found, expected, _ASK, name)
