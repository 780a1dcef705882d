"""Every page of a visit, so that what holds for all of them is tested on all of them."""

from tersum.web import static_files

ANSWERED = "swab={}&dry=yes&rinsed=yes&fresh_area=yes"


def shown_pages(site):
    """Return an address for each route that can be looked at, by the route's name."""
    walk = site.reader().walk()
    place, swab = walk.task.place or walk.standings[0].place, "as_found.1.1"
    if walk.task.place:
        swab = str(walk.at(walk.task.place).next.swab)
    point = f"{site.visit}/points/{place}"
    return {
        "today": "/", "ended": "/ended", "patterns": "/patterns", "static": static_files.address("marks.svg"),
        "visit": site.visit, "point": point, "questions": f"{point}/questions",
        "reading": f"{point}/reading?{ANSWERED.format(swab)}", "card": f"{site.visit}/cards/5",
        "ending": f"{site.visit}/ending", "record": f"{site.visit}/record",
        "ladder": f"{site.visit}/ladder-narrow-light.svg", "decisions": f"{site.visit}/decisions.json",
        "cards_pdf": f"{site.visit}/cards.pdf",
        "readings": f"{site.visit}/readings.csv"}


def html_pages(site):
    """Return the addresses of the pages that people read."""
    return {name: path for name, path in shown_pages(site).items()
            if name not in ("static", "ladder", "decisions", "readings", "cards_pdf")}


def forms(site):
    """Return an address and fields for each route that takes a form."""
    operation, point = site.reader().store.new_id(), f"{site.visit}/points/1"
    return {"draw": (f"{site.visit}/draw", {"operation_id": operation}),
            "questions": (f"{point}/questions", {"operation_id": operation, "swab": "as_found.1.1", "dry": "no",
                                                 "rinsed": "yes", "fresh_area": "yes"}),
            "reading": (f"{point}/reading", {"operation_id": operation, "swab": "as_found.1.1", "dry": "yes",
                                             "rinsed": "yes", "fresh_area": "yes", "number": "41"}),
            "issue": (f"{site.visit}/record/issue", {"operation_id": operation}),
            "withdrawal": (f"{point}/withdrawal", {"operation_id": operation, "reading": operation}),
            "ending": (f"{site.visit}/ending", {"operation_id": operation, "kind": "stopped", "reason": "rain"})}
