"""
An intake read from a file, from text or from decoded JSON.

Every refusal is one line: which field, which value, why not, how to mend it.
"""

from __future__ import annotations

import json
from pathlib import Path

from pydantic import ValidationError

from mealplan.client.faults import plain_faults, shown
from mealplan.client.intake import Intake
from mealplan.errors import IntakeError

MOST_DIGITS = 15
"""More digits than any measurement has, and than a floating-point number keeps."""


MAX_INTAKE_BYTES = 1_000_000
"""An intake is a page of text; anything larger is the wrong file."""
_JSON_NAMES = {
    list: "a list",
    str: "a piece of text",
    int: "a number",
    float: "a number",
    bool: "true or false",
    type(None): "null",
}


def parse_intake(data: object) -> Intake:
    """
    Turn decoded JSON into an intake.

    Parameters
    ----------
    data : object
        A mapping as ``json.loads`` returns it.

    Returns
    -------
    Intake

    Raises
    ------
    IntakeError
        One line: which field, which value, why not, how to mend it.
    """
    if not isinstance(data, dict):
        raise IntakeError(
            f"an intake is one JSON object in braces, not {_JSON_NAMES.get(type(data), 'this')}; "
            "`mealplan example` prints one to start from"
        )
    try:
        return Intake.model_validate(data)
    except ValidationError as error:
        raise IntakeError(plain_faults(Intake, error)) from None


def read_intake(text: str | bytes) -> Intake:
    """
    Read an intake from JSON text.

    Parameters
    ----------
    text : str or bytes
        UTF-8 JSON, at most 1 MB.

    Returns
    -------
    Intake

    Raises
    ------
    IntakeError
        When it is empty, too large, not UTF-8, not JSON, or not a usable intake.
    """
    if len(text) > MAX_INTAKE_BYTES:
        raise IntakeError(
            f"the file holds more than {MAX_INTAKE_BYTES:,} bytes, the most an intake may; is it"
            " the right file?"
        )
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise IntakeError(
                f"byte {error.start} is not UTF-8 text; save the file again with UTF-8 encoding"
            ) from None
    if not text.strip():
        raise IntakeError("the file is empty; `mealplan example` prints an intake to start from")
    try:
        data = json.loads(
            text,
            parse_constant=_no_constants,
            parse_int=_whole_number,
            object_pairs_hook=_no_repeats,
        )
    except json.JSONDecodeError as error:
        raise IntakeError(
            f"line {error.lineno}, column {error.colno} is not JSON ({error.msg}); look for a"
            " missing comma or quote just before it"
        ) from None
    except RecursionError:
        raise IntakeError(
            "the file nests too deeply to be an intake; is it the right file?"
        ) from None
    return parse_intake(data)


def _whole_number(digits: str) -> int:
    if len(digits) > MOST_DIGITS:
        raise IntakeError(
            f"{digits[:12]}... has {len(digits)} digits; no quantity of an intake has more than"
            f" {MOST_DIGITS}"
        )
    return int(digits)


def _no_repeats(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """Refuse a field written twice: which of two weights was meant cannot be known."""
    fields: dict[str, object] = {}
    for name, value in pairs:
        if name in fields:
            raise IntakeError(
                f"{name if name.isidentifier() else shown(name)} is written twice,"
                f" {shown(fields[name])} and {shown(value)}; keep the right one"
            )
        fields[name] = value
    return fields


def _no_constants(name: str) -> float:
    raise IntakeError(
        f"{name} is not a number an intake can hold; give digits or leave the field out"
    )


def load_intake(path: Path) -> Intake:
    """
    Read an intake from a file.

    Parameters
    ----------
    path : Path
        JSON file.

    Returns
    -------
    Intake

    Raises
    ------
    IntakeError
        When the file cannot be read or :func:`read_intake` refuses it.
    """
    try:
        with path.open("rb") as file:
            content = file.read(MAX_INTAKE_BYTES + 1)
    except FileNotFoundError:
        raise IntakeError(f"there is no file {path}; check the name and the folder") from None
    except IsADirectoryError:
        raise IntakeError(f"{path} is a folder; give the JSON file inside it") from None
    except PermissionError:
        raise IntakeError(f"{path} may not be read by this user; change its permissions") from None
    except (OSError, ValueError) as error:
        reason = type(error).__name__
        raise IntakeError(
            f"{shown(str(path))} cannot be read as a file ({reason}); check the name"
        ) from None
    return read_intake(content)
