"""One function for each thing a user asks for, shared by the command line and whatever comes after it.

A task takes paths and plain values, does the whole job through the core and returns the core's objects.
It prints nothing and asks nothing by itself: open questions go to the `ask` function that it is given.
"""

from bagwright.tasks.clubs import (
    brief_on_course,
    brief_slot,
    check_bag,
    measure_bag,
    measure_loaded,
    plan_order,
)
from bagwright.tasks.coursing import CourseRead, CourseSource, check_tee, draw_course, read_course, totals
from bagwright.tasks.demo import DemoResult, run_demo, start_folder
from bagwright.tasks.flying import (
    Flown,
    FlownTable,
    Place,
    draw_flown,
    flown_account,
    fly_one,
    fly_table,
    write_flown,
)
from bagwright.tasks.inferring import (
    Struck,
    StruckTable,
    infer_one,
    infer_table,
    struck_account,
    write_struck,
)
from bagwright.tasks.judging import (
    Judged,
    Wish,
    judge_loaded,
    judge_slot,
    parse_weights,
    valued_on_course,
)
from bagwright.tasks.papers import PAPERS, PaperKind, PaperOrder, Written, gather_all, write_papers
from bagwright.tasks.pick_pictures import draw_pick
from bagwright.tasks.pick_proof import ProofChecked, check_proof, keep_proof
from bagwright.tasks.pick_words import PickWish
from bagwright.tasks.picking import PickAnswer, pick
from bagwright.tasks.restating import RestatedFiles, Words, restate_files, restated_account, write_restated
from bagwright.tasks.slotting import SlotPlayed, play_slot
from bagwright.tasks.source import (
    Ask,
    Loaded,
    Progress,
    Source,
    account,
    fit,
    load,
    load_bag_of,
    reading_doubts,
    with_suggestions,
    write_clean,
)
from bagwright.tasks.stroking import (
    RoundWish,
    StrokesAnswer,
    candidates_on,
    draw_strokes,
    print_sheet,
    tee_shot_words,
    wind_words,
    work_out,
)

__all__ = [
    "PAPERS",
    "Ask",
    "CourseRead",
    "CourseSource",
    "DemoResult",
    "Flown",
    "FlownTable",
    "Judged",
    "Loaded",
    "PaperKind",
    "PaperOrder",
    "PickAnswer",
    "PickWish",
    "Place",
    "Progress",
    "ProofChecked",
    "RestatedFiles",
    "RoundWish",
    "SlotPlayed",
    "Source",
    "StrokesAnswer",
    "Struck",
    "StruckTable",
    "Wish",
    "Words",
    "Written",
    "account",
    "brief_on_course",
    "brief_slot",
    "candidates_on",
    "check_bag",
    "check_proof",
    "check_tee",
    "draw_course",
    "draw_flown",
    "draw_pick",
    "draw_strokes",
    "fit",
    "flown_account",
    "fly_one",
    "fly_table",
    "gather_all",
    "infer_one",
    "infer_table",
    "judge_loaded",
    "judge_slot",
    "keep_proof",
    "load",
    "load_bag_of",
    "measure_bag",
    "measure_loaded",
    "parse_weights",
    "pick",
    "plan_order",
    "play_slot",
    "print_sheet",
    "read_course",
    "reading_doubts",
    "restate_files",
    "restated_account",
    "run_demo",
    "start_folder",
    "struck_account",
    "tee_shot_words",
    "totals",
    "valued_on_course",
    "wind_words",
    "with_suggestions",
    "work_out",
    "write_clean",
    "write_flown",
    "write_papers",
    "write_restated",
    "write_struck",
]  # fmt: skip
