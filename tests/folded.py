"""One test over thousands of trivial cases: it tells every case that fails, and counts as one."""

import functools


def for_each(things, name):
    """
    Run a test of one thing over all of them; a fault in one does not hide the others'.

    Parameters
    ----------
    things : sequence
        What the test is given, one after the other; at least one.
    name : callable
        Gives what a thing is called where it fails.
    """
    assert things

    def fold(test):
        def over_all():
            failed = []
            for thing in things:
                try:
                    test(thing)
                except Exception as error:
                    failed.append(f"{name(thing)}: {type(error).__name__}: {error}")
            assert not failed, f"{len(failed)} of {len(things)}\n" + "\n".join(failed)

        functools.update_wrapper(over_all, test)
        del over_all.__wrapped__  # pytest would ask for a fixture named as the test's argument
        return over_all

    return fold
