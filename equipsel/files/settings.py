"""What a scenario says outside its tables: title, currency, catalog and rules, from scenario.toml or a workbook's sheet."""

import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from equipsel.columns import columns
from equipsel.files.decode import decode, read_bytes
from equipsel.files.header import feet_names, in_feet, name_of
from equipsel.files.limits import TEXT_LIMITS
from equipsel.files.problems import Problem, cell_problem, choose_from, file_problem, nearest, quoted
from equipsel.files.raw import RawTable
from equipsel.files.rows import describe, to_metres
from equipsel.scenario import Rules


@dataclass(frozen=True, slots=True)
class Settings:
    """Title, currency and catalog path (empty where not given), and the rules."""

    title: str = ""
    currency: str = "EUR"
    catalog: str = ""
    rules: Rules = field(default_factory=Rules)


def read_toml(path: Path, source: str) -> tuple[dict[str, str], list[Problem]]:
    """The dotted keys of a TOML file with their values as text, and what is wrong with it."""
    content = read_bytes(path, source)
    text = content if isinstance(content, Problem) else decode(content, source)
    if isinstance(text, Problem):
        return {}, [text]
    try:
        values = tomllib.loads(text, parse_float=str)
    except tomllib.TOMLDecodeError as error:
        return {}, [file_problem(source, f"is not TOML: {error}", 'write key = value, text in quotation marks: title = "My site"')]
    except (ValueError, RecursionError):
        return {}, [file_problem(source, "is not TOML", "look for a number with thousands of digits, or for nested brackets")]
    return _flat(values, "", source)


def _flat(values: dict[str, Any], prefix: str, source: str) -> tuple[dict[str, str], list[Problem]]:
    flat: dict[str, str] = {}
    problems: list[Problem] = []
    for key, value in values.items():
        name = prefix + key
        if isinstance(value, dict) and not prefix:
            inner, wrong = _flat(value, f"{name}.", source)
            flat |= inner
            problems += wrong
        elif isinstance(value, bool):
            flat[name] = "yes" if value else "no"
        elif isinstance(value, str | int):
            flat[name] = str(value).strip()
        else:
            kind = "a list" if isinstance(value, list) else "a table" if isinstance(value, dict) else "a date or time"
            problems.append(cell_problem(source, None, name, f"is {kind}", "write one number, or one text in quotation marks"))
    return flat, problems


def read_sheet(table: RawTable) -> tuple[dict[str, str], list[Problem]]:
    """The keys and values of a workbook's sheet `scenario`, and what is wrong with it."""
    if [cell.lower() for cell in table.header.cells[:2]] != ["key", "value"]:
        return {}, [file_problem(table.source, "has other columns than key and value", "name its first two columns key and value")]
    flat: dict[str, str] = {}
    problems = []
    for row in table.rows:
        written, value = (*row.cells, "", "")[:2]
        key = ".".join(name_of(part) for part in written.split("."))
        if fault := table.faults.get((row.line, 1)):
            problems.append(cell_problem(table.source, row.line, written, fault.wrong, fault.mend))
        elif key in flat:
            problems.append(cell_problem(table.source, row.line, written, "is given twice", "keep one of the two rows"))
        elif value:
            flat[key] = value
    return flat, problems


def settings(flat: dict[str, str], source: str) -> tuple[Settings, list[Problem]]:
    """The settings that the keys give, and what is wrong with them."""
    given = {key.removeprefix("rules."): value for key, value in flat.items() if key.startswith("rules.")}
    rules, problems = _rules(given, source)
    texts = {key: value for key, value in flat.items() if key in TEXT_LIMITS and value}
    problems += [_unknown_key(key, source) for key in flat if key not in TEXT_LIMITS and not key.startswith("rules.")]
    for key, value in texts.items():
        if len(value) > TEXT_LIMITS[key] or not value.isprintable():
            mend = f"write one line of at most {TEXT_LIMITS[key]} characters"
            problems.append(cell_problem(source, None, key, f"{quoted(value)} does not fit", mend))
    return Settings(**texts, rules=rules), problems


def _unknown_key(key: str, source: str) -> Problem:
    if key == "rules":
        return cell_problem(source, None, key, "is a single value", "write the rules below a line [rules]")
    known = [column.name for column in columns(Rules)]
    if key in known or key in feet_names(known):
        return cell_problem(source, None, key, "is a rule and stands outside [rules]", "write it below the line [rules]")
    close = nearest(key, [*TEXT_LIMITS, "rules"])
    hint = f"did you mean {close}?" if close else f"the keys are {choose_from([*TEXT_LIMITS, '[rules]'])}"
    return cell_problem(source, None, key, "is not a key of a scenario", hint)


def _rules(given: dict[str, str], source: str) -> tuple[Rules, list[Problem]]:
    known = [column.name for column in columns(Rules)]
    feet = feet_names(known)
    problems = []
    values: dict[str, Any] = {}
    for key, text in given.items():
        name = feet.get(key, key)
        if name not in known:
            close = nearest(key, [*known, *feet])
            hint = f"did you mean {close}?" if close else f"the rules are {choose_from(known, 30)}"
            problems.append(cell_problem(source, None, f"rules.{key}", "is not a rule", hint))
        elif name in values:
            wrong = f"both {name} and {in_feet(name)} are given"
            problems.append(cell_problem(source, None, f"rules.{key}", wrong, "keep one of them"))
        elif text:
            values[name] = to_metres(name, text) if key in feet else text
    try:
        return Rules.model_validate(values), problems
    except ValidationError as error:
        return Rules(), problems + _wrong_rules(error, given, source)


def _wrong_rules(error: ValidationError, given: dict[str, str], source: str) -> list[Problem]:
    problems = []
    for one in error.errors(include_url=False, include_context=False, include_input=False):
        name = str(one["loc"][0])
        key = name if name in given else in_feet(name)
        problems.append(cell_problem(source, None, f"rules.{key}", *describe(Rules, name, one["type"], given[key])))
    return problems
