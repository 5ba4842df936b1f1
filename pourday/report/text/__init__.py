"""Rich tables and sentences, one module a report or section: what a command prints.

In comes an outcome or a comparison, out go lines on a console. Read ``day`` first.
``upsets`` says what each upset did; its own words are those of ``scenario.base.upsets``.
"""
