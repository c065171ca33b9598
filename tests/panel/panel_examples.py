"""What the tasters of the worked examples said, as findings."""

from __future__ import annotations

from tastevocab.reading.records import Finding


def first_example(table) -> list[Finding]:
    """Five tasters, filter, warm, blind."""
    say = table.say
    return [
        say("A", "blackberry"),
        say("A", "dark_choc"),
        say("B", "reach/dark_fruit"),
        say("B", "cocoa_powder"),
        say("C", "blackcurrant", certainty=0.5),
        say("C", "dark_choc", present=False),
        say("D", "plum_jam", certainty=0.5),
        say("D", "reach/floral", certainty=0.5),
        say("E", "cherry_cola"),
    ]


def second_example(table) -> list[Finding]:
    """Six tasters, six words, no two alike."""
    words = ("prune", "black_plum", "plum_jam", "raisin", "reach/purple_fruit", "date")
    return [table.say(who, word) for who, word in zip("ABCDEF", words, strict=True)]
