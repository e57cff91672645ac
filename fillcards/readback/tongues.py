"""How each language writes values, written a second time: number words, plurals, dates, days.

The card's words for numbers come from num2words and its dates from CLDR; these are composed here by the rules of each
grammar, from lists of their own, so that a slip there is not repeated. What is no rule but a word (a unit, a time of
the day) stands in the message file, which both sides read.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Final


def _split(words: str) -> tuple[str, ...]:
    return tuple(words.split())


@dataclass(frozen=True, slots=True)
class Tongue:
    """A language's rules.

    Attributes:
        decimal: sign before decimals; ``point`` its word.
        whole: a whole number up to 1,000 in words.
        months, days: their names.
        dated: a date, with D, M and Y for its parts.
        ends: what stands between several words, and before the last.
        in_row: the first and the last of days in a row, with F and L for them; ``firsts`` and ``lasts`` their names
            there, where a case changes them.
        form: which of the message file's forms a count takes.
        line_counts: words of counts before "lines" that differ from those of numbers.
        halves: one half, and a half after a whole number in digits, where they have words of their own.
    """

    decimal: str
    point: str
    whole: Callable[[int], str]
    months: tuple[str, ...]
    days: tuple[str, ...]
    dated: str
    ends: tuple[str, str]
    in_row: str
    form: Callable[[int], int]
    firsts: tuple[str, ...] = ()
    lasts: tuple[str, ...] = ()
    line_counts: dict[int, str] = field(default_factory=dict)
    halves: tuple[str, str] = ("", "")

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


_EN: Final = _split(
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen"
)
_EN_TENS: Final = _split("twenty thirty forty fifty sixty seventy eighty ninety")


def _say_english(value: int) -> str:
    if value < 20:
        return _EN[value]
    if value < 100:
        return _EN_TENS[value // 10 - 2] + (f"-{_EN[value % 10]}" if value % 10 else "")
    size, name = (1000, "thousand") if value >= 1000 else (100, "hundred")
    rest = f" {_say_english(value % size)}" if value % size else ""
    return f"{_say_english(value // size)} {name}{rest}"


_ES: Final = _split(
    "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince dieciséis diecisiete "
    "dieciocho diecinueve veinte veintiuno veintidós veintitrés veinticuatro veinticinco veintiséis veintisiete "
    "veintiocho veintinueve"
)
_ES_TENS: Final = _split("treinta cuarenta cincuenta sesenta setenta ochenta noventa")
_ES_HUNDREDS: Final = _split(
    "ciento doscientos trescientos cuatrocientos quinientos seiscientos setecientos ochocientos novecientos"
)


def _say_spanish(value: int) -> str:
    if value in {100, 1000}:
        return {100: "cien", 1000: "mil"}[value]
    if value < 30:
        return _ES[value]
    if value < 100:
        tens = _ES_TENS[value // 10 - 3]
        return f"{tens} y {_ES[value % 10]}" if value % 10 else tens
    hundreds = _ES_HUNDREDS[value // 100 - 1]
    return f"{hundreds} {_say_spanish(value % 100)}" if value % 100 else hundreds


_VI: Final = _split("không một hai ba bốn năm sáu bảy tám chín")


def _say_vietnamese(value: int) -> str:
    """After ten, five is lăm; after twenty and more, one is mốt; a missing ten is lẻ."""
    if value == 1000:
        return "một nghìn"
    hundreds, rest = divmod(value, 100)
    tens, ones = divmod(rest, 10)
    said = [_VI[hundreds], "trăm"] if hundreds else []
    if tens:
        said += ["mười"] if tens == 1 else [_VI[tens], "mươi"]
        changed = {5: "lăm"} if tens == 1 else {1: "mốt", 5: "lăm"}
        said += [changed.get(ones, _VI[ones])] if ones else []
    elif ones or not hundreds:
        said += ["lẻ", _VI[ones]] if hundreds else [_VI[ones]]
    return " ".join(said)


_RU: Final = _split(
    "ноль один два три четыре пять шесть семь восемь девять десять одиннадцать двенадцать тринадцать четырнадцать "
    "пятнадцать шестнадцать семнадцать восемнадцать девятнадцать"
)
_RU_TENS: Final = _split("двадцать тридцать сорок пятьдесят шестьдесят семьдесят восемьдесят девяносто")
_RU_HUNDREDS: Final = _split("сто двести триста четыреста пятьсот шестьсот семьсот восемьсот девятьсот")


def _say_russian(value: int) -> str:
    if value == 1000:
        return "одна тысяча"
    hundreds, rest = divmod(value, 100)
    said = [_RU_HUNDREDS[hundreds - 1]] if hundreds else []
    if rest >= 20:
        said.append(_RU_TENS[rest // 10 - 2])
        rest %= 10
    if rest or not said:
        said.append(_RU[rest])
    return " ".join(said)


def _form_russian(count: int) -> int:
    last, last_two = count % 10, count % 100
    if 11 <= last_two <= 14:
        return 2
    return 0 if last == 1 else 1 if last in {2, 3, 4} else 2


_AR: Final = _split("صفر واحد اثنان ثلاثة أربعة خمسة ستة سبعة ثمانية تسعة عشرة")
_AR_TEENS: Final = ("أحد", "اثنا", *_AR[3:10])
_AR_TENS: Final = _split("عشرون ثلاثون أربعون خمسون ستون سبعون ثمانون تسعون")
_AR_HUNDREDS: Final = _split("مائة مئتان ثلاثمائة أربعمائة خمسمائة ستمائة سبعمائة ثمانمائة تسعمائة")


def _say_arabic(value: int) -> str:
    """Ones come before tens, each joined by a letter for "and"."""
    if value == 1000:
        return "ألف"
    hundreds, rest = divmod(value, 100)
    said = [_AR_HUNDREDS[hundreds - 1]] if hundreds else []
    if 10 < rest < 20:
        said.append(f"{_AR_TEENS[rest - 11]} عشر")
    elif rest > 10:
        said += [_AR[rest % 10]] if rest % 10 else []
        said.append(_AR_TENS[rest // 10 - 2])
    elif rest or not hundreds:
        said.append(_AR[rest])
    return " و".join(said)


def _form_arabic(count: int) -> int:
    if count < 3:
        return count
    last_two = count % 100
    return 3 if 3 <= last_two <= 10 else 4 if last_two >= 11 else 5


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


def _say_hindi(value: int) -> str:
    if value == 1000:
        return "एक हज़ार"
    hundreds, rest = divmod(value, 100)
    said = [_HI[hundreds], "सौ"] if hundreds else []
    return " ".join([*said, _HI[rest]] if rest or not said else said)


TONGUES: Final = {
    "en": Tongue(
        decimal=".",
        point="point",
        whole=_say_english,
        months=_split("January February March April May June July August September October November December"),
        days=_split("Monday Tuesday Wednesday Thursday Friday Saturday Sunday"),
        dated="D M Y",
        ends=(", ", " and "),
        in_row="F to L",
        form=lambda count: int(count != 1),
        halves=("one half", " and a half"),
    ),
    "es": Tongue(
        decimal=".",
        point="punto",
        whole=_say_spanish,
        months=_split("enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre"),
        days=_split("lunes martes miércoles jueves viernes sábado domingo"),
        dated="D de M de Y",
        ends=(", ", " y "),
        in_row="F a L",
        form=lambda count: int(count != 1),
    ),
    "vi": Tongue(
        decimal=",",
        point="phẩy",
        whole=_say_vietnamese,
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
        whole=_say_russian,
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
        decimal=".",
        point="فاصلة",
        whole=_say_arabic,
        months=_split("يناير فبراير مارس أبريل مايو يونيو يوليو أغسطس سبتمبر أكتوبر نوفمبر ديسمبر"),
        days=_split("الاثنين الثلاثاء الأربعاء الخميس الجمعة السبت الأحد"),
        dated="D M Y",
        ends=(" و", " و"),
        in_row="من F إلى L",
        form=_form_arabic,
    ),
    "hi": Tongue(
        decimal=".",
        point="दशमलव",
        whole=_say_hindi,
        months=_split("जनवरी फ़रवरी मार्च अप्रैल मई जून जुलाई अगस्त सितंबर अक्टूबर नवंबर दिसंबर"),
        days=_split("सोमवार मंगलवार बुधवार गुरुवार शुक्रवार शनिवार रविवार"),
        dated="D M Y",
        ends=(", ", " और "),
        in_row="F से L",
        form=lambda count: int(count > 1),
    ),
}
