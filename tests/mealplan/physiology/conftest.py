"""Shared by the tests of physiology: a refusal must be a message someone can act on."""

from collections.abc import Callable

import pytest

from mealplan.errors import IntakeError


@pytest.fixture
def refusal() -> Callable[[Callable[[], object]], str]:
    """Call something that must be refused and return its message, once that is whole."""

    def refused(call: Callable[[], object]) -> str:
        with pytest.raises(IntakeError) as caught:
            call()
        message = str(caught.value)
        assert "None" not in message
        assert message[-1] in ".?"
        return message

    return refused
