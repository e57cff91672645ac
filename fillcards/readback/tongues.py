"""How each language writes values, written a second time: number words, plurals, dates, days.

The card's words for numbers come from num2words and its dates from CLDR; these are composed here by the rules of each
grammar, from lists of their own, so that a slip there is not repeated. What is no rule but a word (a unit, a time of
the day) stands in the message file, which both sides read.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Final


def _split(words: str) -> tuple[str, ...]:
    return tuple(words.split())


@dataclass(frozen=True, slots=True, kw_only=True)
class Tongue:
    """A language's rules.

    Attributes:
        decimal: sign before decimals; ``point`` its word.
        below: the words of 0 to 99; ``hundreds`` of 100 to 900; ``named`` of those that have others.
        months, days: their names.
        dated: a date, with D, M and Y for its parts.
        ends: what stands between several words, and before the last.
        in_row: the first and the last of days in a row, with F and L for them; ``firsts`` and ``lasts`` their names
            there, where a case changes them.
        form: which of the message file's forms a count takes.
        line_counts: words of counts before "lines" that differ from those of numbers.
        thousand: the word behind thousands, where whole numbers go further than 1,000.
        tie: what stands between hundreds and what is below; ``no_ten`` before ones without a ten.
        halves: one half, and a half after a whole number in digits, where they have words of their own.
        stop: what ends a sentence.
    """

    point: str
    decimal: str = "."
    below: tuple[str, ...]
    hundreds: tuple[str, ...]
    months: tuple[str, ...]
    days: tuple[str, ...]
    dated: str = "D M Y"
    ends: tuple[str, str]
    in_row: str
    form: Callable[[int], int] = lambda count: int(count != 1)
    firsts: tuple[str, ...] = ()
    lasts: tuple[str, ...] = ()
    line_counts: Mapping[int, str] = field(default_factory=dict)
    named: Mapping[int, str] = field(default_factory=dict)
    thousand: str = ""
    tie: str = " "
    no_ten: str = ""
    halves: tuple[str, str] = ("", "")
    stop: str = "."

    def number(self, value: Fraction | int) -> str:
        """In digits: a comma between thousands where it cannot be a decimal comma, else nothing; exact or refused."""
        value = Fraction(value)
        for places in range(8):
            if (value * 10**places).denominator == 1:
                digits = str((value * 10**places).numerator).rjust(places + 1, "0")
                whole, rest = digits[: len(digits) - places], digits[len(digits) - places :]
                if self.decimal == ".":
                    whole = f"{int(whole):,}"
                return f"{whole}{self.decimal}{rest}" if rest else whole
        raise ValueError(f"{value} has no short decimal form")

    def whole(self, value: int) -> str:
        """A whole number up to 1,000 in words."""
        if value in self.named:
            return self.named[value]
        if self.thousand and value >= 1000:
            thousands, rest = divmod(value, 1000)
            return f"{self.whole(thousands)} {self.thousand}{self.tie + self.whole(rest) if rest else ''}"
        hundreds, rest = divmod(value, 100)
        if not hundreds:
            return self.below[rest]
        below = f"{self.tie}{self.no_ten if rest < 10 else ''}{self.below[rest]}" if rest else ""
        return self.hundreds[hundreds - 1] + below

    def words(self, value: Fraction | int) -> str:
        """In words, decimals digit by digit."""
        whole, rest = divmod(Fraction(value), 1)
        if rest == Fraction(1, 2) and self.halves[0]:
            return self.number(whole) + self.halves[1] if whole else self.halves[0]
        said = [self.whole(int(whole))]
        if rest:
            said += [self.point, *(self.whole(int(digit)) for digit in self.number(rest)[2:])]
        return " ".join(said)

    def count_lines(self, value: int) -> str:
        """Words up to twelve."""
        return str(value) if value > 12 else self.line_counts.get(value) or self.whole(value)

    def write_date(self, day: date) -> str:
        """Day, month by its name, year."""
        parts = {"D": str(day.day), "M": self.months[day.month - 1], "Y": str(day.year)}
        return "".join(parts.get(letter, letter) for letter in self.dated)

    def write_days(self, days: Sequence[int]) -> str:
        """Monday is 0."""
        if len(days) > 2 and days[-1] - days[0] == len(days) - 1:
            first, last = (self.firsts or self.days)[days[0]], (self.lasts or self.days)[days[-1]]
            return self.in_row.replace("F", first).replace("L", last)
        names = [self.days[day] for day in days]
        between, before_last = self.ends
        return between.join(names[:-1]) + before_last + names[-1] if len(names) > 1 else names[0]


def _list_hundred(
    own: tuple[str, ...], tens: str, join: str = "{ten} {one}", behind: Mapping[str, str] | None = None
) -> tuple[str, ...]:
    """The words of 0 to 99.

    Args:
        own: from 0 on, those that are not put together.
        tens: those after them.
        join: how a ten and a one are put together.
        behind: ones that are another word behind a ten.
    """
    ones = [(behind or {}).get(one, one) for one in own[1:10]]
    return *own, *(word for ten in tens.split(", ") for word in (ten, *(join.format(ten=ten, one=one) for one in ones)))


_EN: Final = _split(
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen"
)
_ES: Final = _split(
    "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince dieciséis diecisiete "
    "dieciocho diecinueve veinte veintiuno veintidós veintitrés veinticuatro veinticinco veintiséis veintisiete "
    "veintiocho veintinueve"
)
_VI: Final = _split("không một hai ba bốn năm sáu bảy tám chín")
_VI_TEENS: Final = tuple(f"mười {one}" for one in _split("một hai ba bốn lăm sáu bảy tám chín"))
_RU: Final = _split(
    "ноль один два три четыре пять шесть семь восемь девять десять одиннадцать двенадцать тринадцать четырнадцать "
    "пятнадцать шестнадцать семнадцать восемнадцать девятнадцать"
)
_AR: Final = _split("صفر واحد اثنان ثلاثة أربعة خمسة ستة سبعة ثمانية تسعة عشرة")
_AR_TEENS: Final = tuple(f"{one} عشر" for one in ("أحد", "اثنا", *_AR[3:10]))
_HI: Final = _split(
    "शून्य एक दो तीन चार पाँच छह सात आठ नौ दस ग्यारह बारह तेरह चौदह पंद्रह सोलह सत्रह अठारह उन्नीस "
    "बीस इक्कीस बाईस तेईस चौबीस पच्चीस छब्बीस सत्ताईस अट्ठाईस उनतीस "
    "तीस इकतीस बत्तीस तैंतीस चौंतीस पैंतीस छत्तीस सैंतीस अड़तीस उनतालीस "
    "चालीस इकतालीस बयालीस तैंतालीस चौवालीस पैंतालीस छियालीस सैंतालीस अड़तालीस उनचास "
    "पचास इक्यावन बावन तिरपन चौवन पचपन छप्पन सत्तावन अट्ठावन उनसठ "
    "साठ इकसठ बासठ तिरसठ चौंसठ पैंसठ छियासठ सड़सठ अड़सठ उनहत्तर "
    "सत्तर इकहत्तर बहत्तर तिहत्तर चौहत्तर पचहत्तर छिहत्तर सतहत्तर अठहत्तर उन्यासी "
    "अस्सी इक्यासी बयासी तिरासी चौरासी पचासी छियासी सत्तासी अट्ठासी नवासी "
    "नब्बे इक्यानवे बानवे तिरानवे चौरानवे पंचानवे छियानवे सत्तानवे अट्ठानवे निन्यानवे"
)


def _form_russian(count: int) -> int:
    last, last_two = count % 10, count % 100
    if 11 <= last_two <= 14:
        return 2
    return 0 if last == 1 else 1 if last in {2, 3, 4} else 2


def _form_arabic(count: int) -> int:
    if count < 3:
        return count
    last_two = count % 100
    return 3 if 3 <= last_two <= 10 else 4 if last_two >= 11 else 5


TONGUES: Final = {
    "en": Tongue(
        point="point",
        below=_list_hundred(_EN, "twenty, thirty, forty, fifty, sixty, seventy, eighty, ninety", "{ten}-{one}"),
        hundreds=tuple(f"{one} hundred" for one in _EN[1:10]),
        thousand="thousand",
        months=_split("January February March April May June July August September October November December"),
        days=_split("Monday Tuesday Wednesday Thursday Friday Saturday Sunday"),
        ends=(", ", " and "),
        in_row="F to L",
        halves=("one half", " and a half"),
    ),
    "es": Tongue(
        point="punto",
        below=_list_hundred(
            _ES,
            "treinta, cuarenta, cincuenta, sesenta, setenta, ochenta, noventa",
            "{ten} y {one}",
        ),
        hundreds=_split(
            "ciento doscientos trescientos cuatrocientos quinientos seiscientos setecientos ochocientos novecientos"
        ),
        named={100: "cien", 1000: "mil"},
        months=_split("enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre"),
        days=_split("lunes martes miércoles jueves viernes sábado domingo"),
        dated="D de M de Y",
        ends=(", ", " y "),
        in_row="F a L",
    ),
    "vi": Tongue(
        decimal=",",
        point="phẩy",
        below=_list_hundred(
            (*_VI, "mười", *_VI_TEENS),
            ", ".join(f"{one} mươi" for one in _VI[2:]),
            behind={"một": "mốt", "năm": "lăm"},
        ),
        hundreds=tuple(f"{one} trăm" for one in _VI[1:]),
        named={1000: "một nghìn"},
        no_ten="lẻ ",
        months=tuple(f"tháng {month}" for month in range(1, 13)),
        days=("Thứ Hai", "Thứ Ba", "Thứ Tư", "Thứ Năm", "Thứ Sáu", "Thứ Bảy", "Chủ Nhật"),
        dated="D M năm Y",
        ends=(", ", " và "),
        in_row="F đến L",
        form=lambda _: 0,
    ),
    "ru": Tongue(
        decimal=",",
        point="запятая",
        below=_list_hundred(
            _RU,
            "двадцать, тридцать, сорок, пятьдесят, шестьдесят, семьдесят, восемьдесят, девяносто",
        ),
        hundreds=_split("сто двести триста четыреста пятьсот шестьсот семьсот восемьсот девятьсот"),
        named={1000: "одна тысяча"},
        months=_split("января февраля марта апреля мая июня июля августа сентября октября ноября декабря"),
        days=_split("понедельник вторник среда четверг пятница суббота воскресенье"),
        dated="D M Y года",
        ends=(", ", " и "),
        in_row="с F по L",
        form=_form_russian,
        firsts=_split("понедельника вторника среды четверга пятницы субботы воскресенья"),
        lasts=_split("понедельник вторник среду четверг пятницу субботу воскресенье"),
        line_counts={1: "одна", 2: "две"},
    ),
    "ar": Tongue(
        point="فاصلة",
        below=_list_hundred(
            (*_AR, *_AR_TEENS), "عشرون, ثلاثون, أربعون, خمسون, ستون, سبعون, ثمانون, تسعون", "{one} و{ten}"
        ),
        hundreds=_split("مائة مئتان ثلاثمائة أربعمائة خمسمائة ستمائة سبعمائة ثمانمائة تسعمائة"),
        named={1000: "ألف"},
        tie=" و",
        months=_split("يناير فبراير مارس أبريل مايو يونيو يوليو أغسطس سبتمبر أكتوبر نوفمبر ديسمبر"),
        days=_split("الاثنين الثلاثاء الأربعاء الخميس الجمعة السبت الأحد"),
        ends=(" و", " و"),
        in_row="من F إلى L",
        form=_form_arabic,
    ),
    "hi": Tongue(
        point="दशमलव",
        stop="\N{DEVANAGARI DANDA}",
        below=_HI,
        hundreds=tuple(f"{one} सौ" for one in _HI[1:10]),
        named={1000: "एक हज़ार"},
        months=_split("जनवरी फ़रवरी मार्च अप्रैल मई जून जुलाई अगस्त सितंबर अक्टूबर नवंबर दिसंबर"),
        days=_split("सोमवार मंगलवार बुधवार गुरुवार शुक्रवार शनिवार रविवार"),
        ends=(", ", " और "),
        in_row="F से L",
        form=lambda count: int(count > 1),
    ),
}
