"""Words that the writer of a file chose: folded so that spelling hides nothing, searched for what must not be there.

An amount in free words competes with the figures of the card and stays behind when a dose is changed; a claim that the
card was checked outlives the check. So free words hold no digit, sentences hold no number word either, and none of them
claims a check. What words mean is never guessed. Knows nothing of keys, files or the wording of a card. The lists of
words: common practice, no source.

An amount hides in Spanish number words as in English ones, and on an English card too, whose reader may know Spanish.
So every language is asked of every card; a word that is English too counts where nothing else can be meant. The lists
know stems and endings, not grammar; a word with another meaning too (Vietnamese "năm", year and five) is refused all
the same, for nobody can tell which is meant. From memory of each language, common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

NUMBER_WORDS: Final = (
    "zero|half|halves|halve[ds]?|quarter(?:ed|s)?|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen"
    "|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen|(?:twenty|thirty|fou?rty|fifty|sixty|seventy|eighty|ninety)"
    "(?:one|two|three|four|five|six|seven|eight|nine)?|hundreds?|thousands?|dozens?|couple|pairs?|twice|thrice|doubl(?:e[ds]?|ing)"
    "|tripl(?:e[ds]?|ing)|second|thirds?|fourth|fifth|sixth|seventh|eighth|ninth|tenth|eleventh|twelfth|(?:thir|four|fif|six"
    "|seven|eigh|nine)teenth|(?:twent|thirt|fort|fift|sixt|sevent|eight|ninet)ieth"
)
"""An expression for folded text. Left out are "first" and "once": "call us first", "once a week" state no amount."""

_NUMBER_WORD: Final = re.compile(rf"\b(?:{NUMBER_WORDS})\b")
# Up to 89, in capitals. With C, D and M too many would be other words: MD, DM.
_ROMAN_NUMBER: Final = re.compile(r"\b[IVXL]{2,}\b")
# A number word beside one of these is a dose, a line or an order; alone a small one may belong to a name.
_AMOUNT_WORD: Final = re.compile(
    r"\b(?:units?|line|ml|mg|mcg|iu|cc|doses?|milli(?:lit(?:er|re)|gram)s?|micrograms?|draw|give|inject|take|use)\b"
)
# What the card itself says to do, and in which order: in a mark, which stands beside a line, it would be obeyed.
_CARD_WORD: Final = re.compile(
    r"\b(?:pull|push|draw|inject|give|take|use|add|fill|stop|shake|wait|call|throw|lines?|units?|doses?|ml|mg|mcg|first"
    r"|last|next|same|other|another|then|after|before|until|again|only|not|never)\b"
)
_MONTH: Final = (
    "(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?"
    "|nov(?:ember)?|dec(?:ember)?)"
)
_DAY: Final = r"(?:0?[1-9]|[12][0-9]|3[01])"
_DATE: Final = re.compile(
    rf"\b(?:born|birth\w*|dob|d\.o\.b)\b|\b{_MONTH}\b\W*[0-9]|[0-9](?:st|nd|rd|th)?\W*(?:of\W+)?\b{_MONTH}\b"
    rf"|\b(?:19|20)[0-9]{{2}}([-/.]){_DAY}\1{_DAY}\b|\b{_DAY}([-/.]){_DAY}\2(?:(?:19|20)?[0-9]{{2}})\b"
)
_AMOUNT_AFTER_NUMBER: Final = re.compile(
    r"[0-9]+(?:[.,][0-9]+)?\s*(?:units|u|iu|ml|mg|mcg|cc|lines?|doses?)\b|\blines?\W*[0-9]+"
    r"|\b(?:pull|push|draw|inject|give|take|stop|fill|add|doses?|total)\b\D{0,20}[0-9]+"
)
_CLAIM: Final = re.compile(
    r"\b(?:(?:re|un)?(?:checked|released|approved|verified|validated|authori[sz]ed|certified|confirmed|cleared|signed"
    r"|proofread|inspected)|reviewed|approval|verification|clearance)\b"
)


def fold_text(text: str) -> str:
    """Small letters without accents, so that one word spelled in two ways is one: ``Insulín`` is ``insulin``.

    Facts: Unicode compatibility decomposition (NFKD), the combining marks left out.
    """
    decomposed = unicodedata.normalize("NFKD", text.casefold())
    return "".join(character for character in decomposed if not unicodedata.combining(character))


def list_plain_words(text: str) -> tuple[str, ...]:
    """The words of a folded text, without punctuation."""
    return tuple(re.findall(r"[^\W_]+", fold_text(text)))


def says_name(text: str, name: str) -> bool:
    """Whether a text contains every word of a name, in any order."""
    return set(list_plain_words(name)) <= set(list_plain_words(text))


def find_digit(text: str) -> str | None:
    """The first run of characters that are numbers in any script, such as ``12``, a half or a circled 8."""
    match = re.search(r"\S+", "".join(sign if sign.isnumeric() else " " for sign in text))
    return match[0] if match else None


def find_number_word(text: str) -> str | None:
    """The first word for a number, a part or a multiple, including Roman numerals up to 89."""
    match = _NUMBER_WORD.search(fold_text(text)) or _ROMAN_NUMBER.search(text)
    return match[0] if match else None


def find_number_word_but(text: str, allowed: tuple[str, ...]) -> str | None:
    """The first word for a number that is not one of those allowed; Roman numerals are none here: LI may be a name."""
    return next((word for word in _NUMBER_WORD.findall(fold_text(text)) if word not in allowed), None)


def find_amount_in_words(text: str) -> str | None:
    """A number word in a text that also has a unit, a line or an order such as draw; ``None`` for other texts."""
    return find_number_word(text) if _AMOUNT_WORD.search(fold_text(text)) else None


def find_card_word(text: str) -> str | None:
    """A word with which the card tells what to do, or in which order."""
    match = _CARD_WORD.search(fold_text(text))
    return match[0] if match else None


def says_date(text: str) -> bool:
    """Whether a text says a date, or that it is of a birth."""
    return bool(_DATE.search(fold_text(text)))


def find_amount_in_identifier(text: str) -> str | None:
    """A number followed by a unit, or after an order, or an amount in words. Other numbers are what an identifier is
    made of.
    """
    match = _AMOUNT_AFTER_NUMBER.search(fold_text(text))
    return match[0] if match else find_amount_in_words(text)


def find_claim(text: str) -> str | None:
    """A word that claims that somebody has checked or released something."""
    match = _CLAIM.search(fold_text(text))
    return match[0] if match else None


# Folded text: small letters without accents; Cyrillic without its breve and diaeresis, Arabic without its hamza.
_FOLDED: Final = {
    "es": (
        (
            r"dos|tres|cuatro|cinco|seis|siete|ocho|nueve|diez|once|doce|trece|catorce|quince|dieci\w+|veint\w+|treinta"
            r"|cuarenta|cincuenta|sesenta|setenta|ochenta|noventa|cien(?:to)?|\w*cient[oa]s|quinient[oa]s|mil(?:es)?|cero"
            r"|medi[oa]s?|mitad(?:es)?|terci[oa]s?|cuart[oa]s?|doble|triple|par(?:es)?|segund[oa]s?|tercer[oa]?|docenas?"
        ),
        r"(?:re)?(?:revisad|verificad|liberad|inspeccionad|comprobad|aprobad|validad|firmad|confirmad|certificad|autorizad)[oa]s?",
        (
            r"primer[oa]?s?|ultim[oa]s?|proxim[oa]s?|siguientes?|mism[oa]s?|otr[oa]s?|luego|despues|antes|hasta|nunca|jamas"
            r"|lineas?|unidad(?:es)?|dosis|mililitros?|miligramos?|microgramos?|tire|tirar|jale|jalar|empuj[ea]r?"
            r"|inyect\w+|apli(?:que|car)|ponga|poner|tome|tomar|usar|cargue|cargar|llene|llenar|aspir[ea]r?|saque|sacar"
            r"|agit[ea]r?|esper[ea]r?|llame|llamar|pare|parar|deteng\w+|solo|solamente"
        ),
    ),
    "ru": (
        (
            r"дв(?:а|е|ух|ум|умя|ое|оих)|тр(?:и|ех|ем|емя|ое)|четыр\w*|четвер(?!г)\w*|пят(?:ь|и|ью|еро)|шест(?:ь|и|ью)|сем(?:ь|и|ью)"
            r"|вос[ье]м(?:ь|и|ью)|девят(?:ь|и|ью)|десят(?:ь|и|ью|ок|ка)|\w+надцат\w*|двадцат\w*|тридцат\w*|сорок\w*|\w+десят\w*"
            r"|девяност\w*|сто|ста|двести|двухсот|триста|трехсот|четыреста|\w+сот|тысяч\w*|пол|половин\w*|полтор\w*|треть"
            r"|двоин\w*|вдвое|втрое|ноль|нуль|нол[яю]|втор(?:ои|ого|ая|ую)|трет(?:ии|ья|ью)|пара|пары|пару"
        ),
        r"проверен\w*|одобрен\w*|утвержден\w*|подтвержден\w*|подписан\w*|согласован\w*",
        (
            r"перв(?:ыи|ая|ое|ую|ого|ои|ым)|последн\w+|следующ\w+|друг(?:ои|ая|ое|ую|ого)|сначала|потом|затем|после|перед"
            r"|до|опять|снова|только|никогда|не|лини(?:я|и|ю|еи)|делени(?:е|я|ю|и|ем)|единиц\w*|доз(?:а|ы|у|е|ои)"
            r"|миллилитр\w*|миллиграмм\w*|микрограмм\w*|мл|мг|мкг|(?:по)?тян(?:уть|и|ите)|наб(?:рать|ери|ерите|ирать|ираите)"
            r"|вв(?:ести|еди|едите|одить|одите)|(?:у)?кол(?:оть|и|ите)|нажать|нажм\w+|взять|возьм\w+|принять|прими(?:те)?"
        ),
    ),
    "ar": (
        (
            r"[وفبلك]*(?:ال)?(?:اثن\w+|ثلاث\w*|ثلث\w*|اربع\w*|خمس\w*|ستة|ستون|ستين|سته|سبع\w*|ثمان\w*|تسع\w*|عشر\w*"
            r"|احد عشر|مائ\w*|مئ\w*|ميه|ميت\w+|الف\w*|نصف\w*|ربع\w*|ضعف\w*|مرتين|مرتان|وحدتين|وحدتان|خطين|خطان|صفر\w*)"
        ),
        r"(?:ال)?(?:مراجعة|مراجعه|روجعت|معتمد\w*|اعتمدت|مدقق\w*|مفحوص\w*|مصدق\w*|موقع\w*)",
        (
            r"[وفبلك]*(?:ال)?(?:اول|اولا|اولي|اولى|اخير\w*|تالي\w*|اخر|اخرى|خط|خطوط|وحدة|وحده|وحدات|جرعة|جرعه|جرعات|مل|ملغ)"
            r"|ثم|بعد|قبل|حتى|الى|فقط|ابدا|لا|اسحب\w*|اضغط\w*|ادفع\w*|احقن\w*|استخدم\w*|خذ|اتصل\w*|انتظر\w*"
        ),
    ),
}
# Composed text in small letters: where marks tell words apart.
_COMPOSED: Final = {
    "vi": (
        "muoi|nghin|ruoi|nua|hai|ba|bốn|tư|năm|lăm|nhăm|sáu|bảy|bẩy|tám|chín|mười|mươi|mốt|chục|trăm|nghìn|ngàn|nửa|rưỡi|đôi|gấp|cặp|nhì",
        (
            "đã (?:được )?(?:kiểm tra|kiểm|duyệt|xác nhận|phê duyệt|ký|xem lại)"
            "|da (?:duoc )?(?:kiem tra|kiem|duyet|xac nhan|phe duyet|ky|xem lai)"
        ),
        (
            "đầu tiên|trước|sau|cuối cùng|tiếp theo|đến|tới|chỉ|đừng|khác|vạch|đơn vị|liều|hút|kéo|đẩy|tiêm|dùng|lấy"
            "|bơm|lắc|chờ|đợi|gọi|don vi|vach|lieu|tiem"
        ),
    ),
    "hi": (
        (
            "दो|तीन|चार|पाँच|पांच|छह|छः|छे|सात|आठ|नौ|दस|ग्यारह|बारह|तेरह|चौदह|पंद्रह|पन्द्रह|सोलह|सत्रह|अठारह|उन्नीस|बीस|इक्कीस|बाईस|तेईस|चौबीस|पच्चीस"
            "|छब्बीस|सत्ताईस|अट्ठाईस|उनतीस|तीस|इकतीस|बत्तीस|तैंतीस|चौंतीस|पैंतीस|छत्तीस|सैंतीस|अड़तीस|उनतालीस|चालीस|पैंतालीस|पचास|साठ|सत्तर|अस्सी|नब्बे"
            "|इकतालीस|बयालीस|तैंतालीस|चौवालीस|छियालीस|सैंतालीस|अड़तालीस|उनचास|इक्यावन|बावन|तिरपन|चौवन|पचपन|छप्पन"
            "|सत्तावन|अट्ठावन|उनसठ|इकसठ|बासठ|तिरसठ|चौंसठ|पैंसठ|छियासठ|सड़सठ|अड़सठ|उनहत्तर|इकहत्तर|बहत्तर"
            "|तिहत्तर|चौहत्तर|पचहत्तर|छिहत्तर|सतहत्तर|अठहत्तर|उन्यासी|इक्यासी|बयासी|तिरासी|चौरासी|पचासी|छियासी|सत्तासी"
            "|अट्ठासी|नवासी|इक्यानवे|बानवे|तिरानवे|चौरानवे|पंचानवे|छियानवे|सत्तानवे|अट्ठानवे|निन्यानवे"
            "|सौ|हज़ार|हजार|शून्य|आधा|आधी|आधे|डेढ़|ढाई|सवा|पौन|पौने|पाव|दुगुना|दुगुनी|दोगुना|दोगुनी|तिगुना|दूसरी|दूसरा|तीसरी|तीसरा|जोड़ी"
        ),
        "जाँची|जाँचा|जांची|जांचा|सत्यापित|स्वीकृत|प्रमाणित|अनुमोदित",
        (
            "पहले|पहला|पहली|अगला|अगली|बाद|फिर|तक|केवल|सिर्फ|सिर्फ़|कभी|नहीं|मत|लाइन|रेखा|यूनिट|इकाई|इकाइयाँ|खुराक|मिली|मिलीलीटर"
            "|मिलीग्राम|खींचें|खींचो|दबाएँ|लगाएँ|लगाओ|डालें|लें|हिलाएँ|रुकें"
        ),
    ),
}

_NUMBERS, _CLAIMS, _OF_THE_CARD = range(3)
FOREIGN: Final = (*_FOLDED, *_COMPOSED)
"""Tags of the languages with lists."""

# What tells two vials apart, one rubber band from two: in a mark no amount.
_SMALL: Final = {
    "es": "dos|tres",
    "ru": "дв(?:а|е|ух|ум|умя)|тр(?:и|ех|ем|емя)",
    "ar": "[وفبلك]*(?:ال)?(?:اثنان|اثنين|اثنتان|اثنتين|ثلاث|ثلاثة|ثلاثه)",
    "vi": "hai|ba",
    "hi": "दो|तीन",
}
_OF_OTHERS_TOO: Final = frozenset(
    (
        *("once", "dos", "media", "medias", "miles", "par", "tire", "solo", "pare"),
        *("hai", "ba"),
    )
)
"""Words of English too (call us once a week, dos and don'ts, a few miles, on par), and names of people (Hai, Ba). On a
card that is not of their language they count beside a word that is of it alone, such as unidades."""


def find_foreign_number_word(text: str, language: str, *, in_mark: bool = False) -> str | None:
    """The first word for a number, a part or a multiple in any language but English; in a mark two and three are none.
    ``language`` is the card's.
    """
    for tag in FOREIGN:
        for word in _list_words(text, tag, _NUMBERS, language):
            if not (in_mark and re.fullmatch(_SMALL[tag], word)):
                return word
    return None


def list_number_words(text: str, language: str) -> list[str]:
    """The words for numbers that a text in a language has; none where there is no list for it."""
    return _find_all(text, language, _NUMBERS) if language in FOREIGN else []


def find_foreign_claim(text: str, language: str) -> str | None:
    """The first word that claims that somebody has checked something, in any language but English."""
    return next((word for tag in FOREIGN for word in _list_words(text, tag, _CLAIMS, language)), None)


def find_foreign_card_word(text: str, language: str) -> str | None:
    """The first word with which a card tells what to do, or in which order, in any language but English."""
    return next((word for tag in FOREIGN for word in _list_words(text, tag, _OF_THE_CARD, language)), None)


def _list_words(text: str, tag: str, which: int, language: str) -> list[str]:
    """The words of one sort that a text has in one language, on a card of this or another language."""
    found = _find_all(text, tag, which)
    if tag == language or not found:
        return found
    alone = [word for word in found if word not in _OF_OTHERS_TOO]
    others = (word for sort in (_NUMBERS, _CLAIMS, _OF_THE_CARD) for word in _find_all(text, tag, sort))
    return found if any(word not in _OF_OTHERS_TOO for word in others) else alone


def _find_all(text: str, tag: str, which: int) -> list[str]:
    if tag in _FOLDED:
        said, words = fold_text(text), _FOLDED[tag][which]
    else:
        said, words = (unicodedata.normalize("NFC", each) for each in (text.casefold(), _COMPOSED[tag][which]))
    # Devanagari's vowel signs are no word characters: an edge is where neither a letter nor such a sign stands.
    return re.findall(rf"(?<![\w\u0900-\u0963])(?:{words})(?![\w\u0900-\u0963])", said)
