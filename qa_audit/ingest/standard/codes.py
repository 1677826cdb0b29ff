"""Closed code lists of the elements that are read, in compact form.

Source: NEMSIS v3.5.1 XSDs (3.5.0 lists are part of them). `1-9` stands for 1, 3, 5, 7, 9: codes are two apart.
"""

from __future__ import annotations

YES, NO = "9923003", "9923001"
_YES_NO = "9923001-9923003"
_RESPONSE = "9916001-9916005"
_PERFORMER = "9905001 9905002 9905003-9905007 9905019-9905021 9905025-9905051"

_LISTS = {
    "eCrew.02": "9925001 9925002 9925003-9925007 9925023-9925043",
    "eCrew.03": "2403001-2403013",
    "ePatient.16": "2516001-2516009",
    "eDispatch.01": "2301001-2301099",
    "eResponse.05": "2205001-2205035",
    "eResponse.07": "2207011-2207027",
    "eSituation.13": "2813001-2813009",
    "eSituation.20": "2820001-2820031",
    "eArrest.01": "3001001-3001005",
    "eArrest.03": "3003001-3003011",
    "eArrest.04": "3004001-3004007",
    "eArrest.09": "3009001-3009027",
    "eArrest.11": "3011001 3011005-3011013",
    "eArrest.12": "3012001-3012007",
    "eArrest.16": "3016001-3016011",
    "eArrest.18": "3018001-3018011",
    "eVitals.02": _YES_NO,
    "eVitals.03": "9901001-9901029 9901030 9901031-9901057 9901058 9901059-9901071",
    "eVitals.15": "3315001-3315013",
    "eVitals.19": "1-3 2-4",
    "eVitals.20": "1-5 2-4",
    "eVitals.21": "1-5 2-6",
    "eVitals.22": "3322001-3322009",
    "eVitals.26": "3326001-3326007",
    "eExam.22": "3522001-3522005",
    "eExam.23": "3523001-3523031",
    "eProtocols.01": "9914001-9914037 9914041-9914225",
    "eMedications.02": _YES_NO,
    "eMedications.04": "9927001-9927075",
    "eMedications.06": "3706001-3706009 3706013-3706055",
    "eMedications.07": _RESPONSE,
    "eMedications.08": "3708001-3708025 3708029-3708045",
    "eMedications.10": _PERFORMER,
    "eMedications.13": _YES_NO,
    "eProcedures.02": _YES_NO,
    "eProcedures.06": _YES_NO,
    "eProcedures.07": "3907001-3907027 3907031-3907035 3907039-3907051",
    "eProcedures.08": _RESPONSE,
    "eProcedures.10": _PERFORMER,
    "eProcedures.14": "3914001-3914011",
    "eProcedures.15": _YES_NO,
    "eAirway.01": "4001001-4001013",
    "eAirway.03": "4003001-4003015",
    "eAirway.04": "4004001-4004021",
    "eAirway.08": "4008001-4008023",
    "eAirway.09": "4009001-4009019",
    "eDisposition.21": "4221001-4221009 4221013-4221041",
    "eDisposition.27": "4227001-4227011",
    "eDisposition.28": "4228001-4228009",
    "eDisposition.29": "4229001-4229013",
    "eDisposition.30": "4230001-4230013",
    "eDisposition.31": "4231001-4231017",
    "eDisposition.32": "4232001-4232013",
    "eOther.03": "4503001-4503023",
    "eOther.05": _YES_NO,
    "eOther.06": "4506001-4506041",
}


def _expand(compact: str) -> frozenset[str]:
    codes: set[str] = set()
    for run in compact.split():
        first, _, last = run.partition("-")
        codes |= {str(code) for code in range(int(first), int(last or first) + 1, 2)}
    return frozenset(codes)


CLOSED_LISTS: dict[str, frozenset[str]] = {element: _expand(compact) for element, compact in _LISTS.items()}
"""Every code an element may hold, by element."""
