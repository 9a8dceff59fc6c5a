"""Currencies: in: a code of three letters, out: whether ISO 4217 lists it, and how many decimals its money has.

The list of active codes as published on 2026-01-01; a test holds it against the PyPI package iso4217 (public domain).
"""

from __future__ import annotations

from fractions import Fraction

from rackspec.language.quantity import plain_number

PUBLISHED = "2026-01-01"
"""The date of the official list that the tables below were taken from."""

CODES: frozenset[str] = frozenset(
    """
    AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BHD BIF BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW
    CLF CLP CNY COP COU CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL
    HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA
    MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD
    RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD
    USN UYI UYU UYW UZS VED VES VND VUV WST XAD XAF XAG XAU XBA XBB XBC XBD XCD XCG XDR XOF XPD XPF XPT XSU XTS XUA XXX
    YER ZAR ZMW ZWG
    """.split()
)
"""Every active code, metals, funds and the codes for tests (XTS) and for no currency (XXX) included."""

USUAL_MINOR_UNITS = 2
"""Decimals of most currencies."""

MINOR_UNITS: dict[str, int | None] = (
    dict.fromkeys("BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF".split(), 0)
    | dict.fromkeys("BHD IQD JOD KWD LYD OMR TND".split(), 3)
    | dict.fromkeys("CLF UYW".split(), 4)
    | dict.fromkeys("XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX".split(), None)
)
"""Decimals of those currencies that have not two; None where the list says that there are none to speak of."""


def is_currency(code: str) -> bool:
    """Whether ``code`` is an active code of ISO 4217, in capitals as the list has it."""
    return code in CODES


def minor_units(code: str) -> int | None:
    """How many decimals sums of money in ``code`` have: 2 for EUR, 0 for JPY, 3 for KWD, None for gold (XAU).

    Raises KeyError for a code that is none.
    """
    if code not in CODES:
        raise KeyError(code)
    return MINOR_UNITS.get(code, USUAL_MINOR_UNITS)


WITHOUT_MINOR = 4
"""Decimals that are shown of money for which the list has none to speak of: gold, units of account."""


def rounded(value: Fraction, currency: str, left: bool = False) -> Fraction:
    """A sum of money in steps of the smallest coin of its currency, never to the good side: costs go up; what is
    ``left`` goes down."""
    step = 10 ** places_of(currency)
    scaled = value * step
    whole = scaled.numerator // scaled.denominator if left else -((-scaled.numerator) // scaled.denominator)
    return Fraction(whole, step)


def places_of(currency: str) -> int:
    """How many decimals of sums in a currency are shown; those of most, where it is no code."""
    if not is_currency(currency):
        return USUAL_MINOR_UNITS
    places = minor_units(currency)
    return WITHOUT_MINOR if places is None else places


def sum_text(value: Fraction, currency: str, left: bool = False) -> str:
    """A sum of money as people write it: ``380 EUR``, ``3.80 EUR``, ``1.250 KWD``, ``401 JPY``; see ``rounded``."""
    text = plain_number(rounded(value, currency, left), WITHOUT_MINOR)
    if "." in text:
        text += "0" * (places_of(currency) - len(text.partition(".")[2]))
    return f"{text} {currency}".rstrip()
