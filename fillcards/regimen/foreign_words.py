"""Number words, and words that claim a check, in the languages of cards beside English.

What a clinic writes for a Spanish card it writes in Spanish: an amount hides in its number words as in English ones.
The lists know stems and endings, not grammar; a word with another meaning too (Vietnamese "năm", year and five) is
refused all the same, for nobody can tell which is meant. From memory of each language, common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from fillcards.regimen.free_words import fold_text

# Folded text: small letters without accents; Cyrillic without its breve and diaeresis, Arabic without its hamza.
_FOLDED: Final = {
    "es": (
        (
            r"dos|tres|cuatro|cinco|seis|siete|ocho|nueve|diez|once|doce|trece|catorce|quince|dieci\w+|veint\w+|treinta"
            r"|cuarenta|cincuenta|sesenta|setenta|ochenta|noventa|cien(?:to)?|\w*cient[oa]s|quinient[oa]s|mil(?:es)?|cero"
            r"|medi[oa]s?|mitad(?:es)?|terci[oa]s?|cuart[oa]s?|doble|triple|par(?:es)?|segund[oa]s?|tercer[oa]?|docenas?"
        ),
        r"(?:re)?(?:revisad|verificad|comprobad|aprobad|validad|firmad|confirmad|certificad|autorizad)[oa]s?",
    ),
    "ru": (
        (
            r"дв(?:а|е|ух|ум|умя|ое|оих)|тр(?:и|ех|ем|емя|ое)|четыр\w*|четвер\w*|пят(?:ь|и|ью|еро)|шест(?:ь|и|ью)|сем(?:ь|и|ью)"
            r"|вос[ье]м(?:ь|и|ью)|девят(?:ь|и|ью)|десят(?:ь|и|ью|ок|ка)|\w+надцат\w*|двадцат\w*|тридцат\w*|сорок\w*|\w+десят\w*"
            r"|девяност\w*|сто|ста|двести|двухсот|триста|трехсот|четыреста|\w+сот|тысяч\w*|пол|половин\w*|полтор\w*|треть"
            r"|двоин\w*|вдвое|втрое|ноль|нуль|нол[яю]|втор(?:ои|ого|ая|ую)|трет(?:ии|ья|ью)|пара|пары|пару"
        ),
        r"проверен\w*|одобрен\w*|утвержден\w*|подтвержден\w*|подписан\w*|согласован\w*",
    ),
    "ar": (
        (
            r"[وفبلك]*(?:ال)?(?:اثن\w+|ثلاث\w*|ثلث\w*|اربع\w*|خمس\w*|ستة|ستون|ستين|سته|سبع\w*|ثمان\w*|تسع\w*|عشر\w*"
            r"|احد عشر|مائ\w*|مئ\w*|ميه|ميت\w+|الف\w*|نصف\w*|ربع\w*|ضعف\w*|مرتين|مرتان|وحدتين|وحدتان|خطين|خطان|صفر\w*)"
        ),
        r"(?:ال)?(?:مراجعة|مراجعه|روجعت|معتمد\w*|اعتمدت|مدقق\w*|مفحوص\w*|مصدق\w*|موقع\w*)",
    ),
}
# Composed text in small letters: where marks tell words apart.
_COMPOSED: Final = {
    "vi": (
        "hai|ba|bốn|tư|năm|lăm|nhăm|sáu|bảy|bẩy|tám|chín|mười|mươi|mốt|chục|trăm|nghìn|ngàn|nửa|rưỡi|đôi|gấp|cặp|nhì",
        "đã (?:được )?(?:kiểm tra|kiểm|duyệt|xác nhận|phê duyệt|ký|xem lại)",
    ),
    "hi": (
        (
            "दो|तीन|चार|पाँच|पांच|छह|छः|छे|सात|आठ|नौ|दस|ग्यारह|बारह|तेरह|चौदह|पंद्रह|पन्द्रह|सोलह|सत्रह|अठारह|उन्नीस|बीस|इक्कीस|बाईस|तेईस|चौबीस|पच्चीस"
            "|छब्बीस|सत्ताईस|अट्ठाईस|उनतीस|तीस|इकतीस|बत्तीस|तैंतीस|चौंतीस|पैंतीस|छत्तीस|सैंतीस|अड़तीस|उनतालीस|चालीस|पैंतालीस|पचास|साठ|सत्तर|अस्सी|नब्बे"
            "|सौ|हज़ार|हजार|शून्य|आधा|आधी|आधे|डेढ़|ढाई|सवा|पौन|पौने|पाव|दुगुना|दुगुनी|दोगुना|दोगुनी|तिगुना|दूसरी|दूसरा|तीसरी|तीसरा|जोड़ी"
        ),
        "जाँची|जाँचा|जांची|जांचा|सत्यापित|स्वीकृत|प्रमाणित|अनुमोदित",
    ),
}


def find_foreign_number_word(text: str, language: str) -> str | None:
    """The first word for a number, a part or a multiple in a language other than English."""
    return _find(text, language, 0)


def find_foreign_claim(text: str, language: str) -> str | None:
    """The first word that claims that somebody has checked something."""
    return _find(text, language, 1)


def _find(text: str, language: str, which: int) -> str | None:
    if language in _FOLDED:
        said, words = fold_text(text), _FOLDED[language][which]
    elif language in _COMPOSED:
        said, words = unicodedata.normalize("NFC", text.casefold()), _COMPOSED[language][which]
    else:
        return None
    # Devanagari's vowel signs are no word characters: an edge is where neither a letter nor a mark stands.
    for match in re.finditer(words, said):
        before, after = said[: match.start()][-1:], said[match.end() :][:1]
        if not _belongs(before) and not _belongs(after):
            return match[0]
    return None


def _belongs(sign: str) -> bool:
    return bool(sign) and (sign.isalnum() or unicodedata.category(sign).startswith("M"))
