"""The public names are those listed, and each can be used."""

import importlib
import inspect

import pytest

import foods
import mealplan

PACKAGES = [foods, mealplan]


def order(name):
    """Sort constants first, then classes, then functions, each by name."""
    return (0 if name.isupper() else 1 if name[0].isupper() else 2, name)


@pytest.mark.parametrize("package", PACKAGES, ids=lambda package: package.__name__)
def test_public_names_are_sorted_and_each_is_there(package):
    assert package.__all__ == sorted(set(package.__all__), key=order)
    for name in package.__all__:
        assert getattr(package, name) is not None


@pytest.mark.parametrize("package", PACKAGES, ids=lambda package: package.__name__)
def test_public_classes_and_functions_say_what_they_are(package):
    for name in package.__all__:
        member = getattr(package, name)
        if inspect.isclass(member) or inspect.isfunction(member):
            assert inspect.getdoc(member), name


def test_the_domain_lists_what_it_offers():
    assert set(dir(mealplan)) == set(mealplan.__all__)


def test_an_unknown_name_is_an_attribute_error_that_says_where_to_look():
    with pytest.raises(AttributeError, match="__all__"):
        _ = mealplan.make_breakfast


@pytest.mark.parametrize("name", mealplan.__all__)
def test_a_public_name_is_the_very_one_of_its_module(name):
    member = getattr(mealplan, name)
    assert getattr(importlib.import_module(member.__module__), name) is member


def test_every_error_on_purpose_is_a_meal_plan_error():
    errors = [getattr(mealplan, name) for name in mealplan.__all__ if name.endswith("Error")]
    assert len(errors) >= 6
    assert all(issubclass(error, mealplan.MealPlanError) for error in errors)
    assert issubclass(mealplan.SafetyRefusal, mealplan.MealPlanError)
