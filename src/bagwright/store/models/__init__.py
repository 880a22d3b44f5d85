"""Every table of the database. Figures are SI and radians, as everywhere inside; missing is NULL, never 0."""

from bagwright.store.models.accounts import (
    Account,
    ApiToken,
    AuditEntry,
    Invitation,
    PairedDevice,
    PairingOffer,
    ShopSettings,
)
from bagwright.store.models.clubs import AgreedBag, Club, ClubMeasurement, RackClub
from bagwright.store.models.courses import CourseFile, CourseOverlay, PlayedCourse, StrokesRun
from bagwright.store.models.outcomes import (
    ClubOutcome,
    Decision,
    Delivery,
    Paper,
    PlayerLink,
    Prediction,
)
from bagwright.store.models.people import Player, PlayerShare
from bagwright.store.models.picks import PickProblem, PickRun
from bagwright.store.models.shots import Change, Import, ShotRecord, WaitingTable
from bagwright.store.models.visits import Candidate, PlannedBall, Rating, Visit

__all__ = [
    "Account",
    "AgreedBag",
    "ApiToken",
    "AuditEntry",
    "Candidate",
    "Change",
    "Club",
    "ClubMeasurement",
    "ClubOutcome",
    "CourseFile",
    "CourseOverlay",
    "Decision",
    "Delivery",
    "Import",
    "Invitation",
    "PairedDevice",
    "PairingOffer",
    "Paper",
    "PickProblem",
    "PickRun",
    "PlannedBall",
    "PlayedCourse",
    "Player",
    "PlayerLink",
    "PlayerShare",
    "Prediction",
    "RackClub",
    "Rating",
    "ShopSettings",
    "ShotRecord",
    "StrokesRun",
    "Visit",
    "WaitingTable",
]
