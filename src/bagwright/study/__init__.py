"""The same question over many players: tasks in, rows out, on one machine or on many.

This room knows nothing of golf. A question is the dotted name of a function ("package.module:function") that
is given what all tasks share and returns the function that answers one task with one flat row. The runner
gives tasks to workers, repeats what a lost worker had, keeps finished rows in small files that are whole or
absent, and goes on where it was stopped.
"""

from bagwright.study.kept import Kept
from bagwright.study.plan import Parts, Plan, begin
from bagwright.study.run import Counts, Stop, Study, Watch, run
from bagwright.study.task import Answer, Cell, Outcome, Start, Task, seed_of

__all__ = [
    "Answer",
    "Cell",
    "Counts",
    "Kept",
    "Outcome",
    "Parts",
    "Plan",
    "Start",
    "Stop",
    "Study",
    "Task",
    "Watch",
    "begin",
    "run",
    "seed_of",
]
