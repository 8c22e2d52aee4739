"""One line, solved for the person on the ladder: ask a `Question`, get an `Answer` in words, as a table, or as data."""

from equipsel.voltage_drop.answer import Answer, QuestionError, answer
from equipsel.voltage_drop.line import Solved, Source, solve
from equipsel.voltage_drop.question import Question, problems
from equipsel.voltage_drop.suggest import Change, suggestions
from equipsel.voltage_drop.words import as_dict, report, sentence

__all__ = [
    "Answer",
    "Change",
    "Question",
    "QuestionError",
    "Solved",
    "Source",
    "answer",
    "as_dict",
    "problems",
    "report",
    "sentence",
    "solve",
    "suggestions",
]
