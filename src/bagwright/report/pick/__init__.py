"""Pictures of a pick: what each club is worth, bags side by side, carries before and after."""

from bagwright.report.pick.bags import BagColumn, bags_chart
from bagwright.report.pick.reach import Reach, reach_chart
from bagwright.report.pick.worth import worth_chart

__all__ = ["BagColumn", "Reach", "bags_chart", "reach_chart", "worth_chart"]
