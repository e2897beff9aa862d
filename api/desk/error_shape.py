"""The one JSON shape of every refusal: what, how to mend it, and a code to act on."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field


class _Body(BaseModel):
    """A body with no fields but its own."""

    model_config = ConfigDict(extra="forbid")


class ErrorDetail(_Body):
    """What went wrong and how to mend it."""

    code: str = Field(description="Stable word to act on", examples=["intake"])
    message: str = Field(
        description="What, with the value", examples=["weight_kg=18 is outside 35 to 250"]
    )
    mend: str = Field(
        description="What to do about it", examples=["Correct what is named, then send it again."]
    )
    details: tuple[str, ...] = Field(default=(), description="Clashing rules or further mistakes")


class ErrorBody(_Body):
    """The one shape of every refusal."""

    error: ErrorDetail
