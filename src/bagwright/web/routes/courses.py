"""Addresses of the house's courses."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import (
    course_heights,
    course_hole,
    courses,
    picks,
    player_courses,
    strokes,
    visit_course,
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("courses/", courses.index, name="courses"),
    path("courses/holes.css", courses.hole_styles_file, name="holes-styles"),
    path("courses/<int:course_id>/", courses.course, name="course"),
    path("courses/<int:course_id>/archive/", courses.archive, name="course-archive"),
    path("courses/<int:course_id>/undo/", courses.undo, name="course-undo"),
    path("courses/<int:course_id>/heights/", course_heights.heights, name="course-heights"),
    path("courses/<int:course_id>/heights/file/", course_heights.heights_file, name="course-heights-file"),
    path("courses/<int:course_id>/overlay/", courses.overlay, name="course-overlay"),
    path("courses/<int:course_id>/holes/<int:number>/", course_hole.hole, name="course-hole"),
    path("courses/<int:course_id>/holes/<int:number>/correct/", course_hole.correct, name="course-correct"),
    path("players/<int:player_id>/courses/", player_courses.index, name="player-courses"),
    path("players/<int:player_id>/strokes/<int:run_id>/", strokes.run, name="strokes"),
    path("players/<int:player_id>/strokes/<int:run_id>/state/", strokes.state, name="strokes-state"),
    path("players/<int:player_id>/strokes/<int:run_id>/sheet/", strokes.sheet, name="strokes-sheet"),
    path(
        "players/<int:player_id>/strokes/<int:run_id>/holes/<int:number>/", strokes.hole, name="strokes-hole"
    ),
    path(
        "players/<int:player_id>/strokes/<int:run_id>/holes/<int:number>/spot/",
        strokes.spot,
        name="strokes-spot",
    ),
    path("players/<int:player_id>/pick/", picks.index, name="player-pick"),
    path("players/<int:player_id>/pick/<int:run_id>/", picks.run, name="pick"),
    path("players/<int:player_id>/pick/<int:run_id>/state/", picks.state, name="pick-state"),
    path("visits/<int:visit_id>/course/", visit_course.visit_course, name="visit-course"),
    path("visits/<int:visit_id>/course/state/", visit_course.visit_course_state, name="visit-course-state"),
]
