"""Page of the method: every equation the program knows, to open and to try."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.desk.deps import CoachRecords
from api.pages.contexts import EquationPage, MethodPage
from api.pages.rendering import page
from mealplan.errors import IntakeError
from mealplan.method.entries import equation_called, find_equations
from mealplan.method.working import work_out

router = APIRouter(prefix="/method", include_in_schema=False)

LONGEST_SEARCH = 80
"""Characters of a search. [1]"""


@router.get("")
def show_all(request: Request, records: CoachRecords, words: str = "") -> Response:
    """List equations, all or those that words find."""
    words = words[:LONGEST_SEARCH]
    return page(request, MethodPage(words=words, found=find_equations(words)))


@router.get("/{key}")
def show(request: Request, records: CoachRecords, key: str) -> Response:
    """Open one equation, and work it out when inputs are given."""
    equation = equation_called(key[:LONGEST_SEARCH])
    typed = dict(list(request.query_params.items())[: len(equation.inputs)])
    answer: tuple[str, ...] = ()
    message = ""
    if typed:
        try:
            answer = work_out(equation, typed)
        except IntakeError as error:
            message = str(error)
    context = EquationPage(equation=equation, typed=typed, answer=answer, message=message)
    return page(request, context, status=422 if message else 200)
