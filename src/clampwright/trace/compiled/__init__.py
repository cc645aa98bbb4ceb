"""The analysis of a trace once more, compiled, for archives of many thousand pulls.

The modules `swings`, `wind_up`, `strokes`, `curve`, `features`, `patterns` and `likelihood` say
what is done and why; here the same steps stand as loops that a compiler takes. Nothing is decided
here that is not decided there: the tests hold both against each other, pull by pull. Import it
only where many pulls are judged: compiling takes longer than judging a few hundred of them.
"""
