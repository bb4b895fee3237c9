"""Asking: the survey's questions one at a time, and the scenario that their answers make."""

from cutplan.asking.answers import AnswerError
from cutplan.asking.contract_questions import ask_contract
from cutplan.asking.interview import Interview, InterviewError
from cutplan.asking.survey_questions import ask_scenario

__all__ = ["AnswerError", "Interview", "InterviewError", "ask_contract", "ask_scenario"]
