"""The mixing card: volumes, the ratio three ways, the order of pouring; an unknown product is told, not guessed."""

from dataclasses import replace

from tersum.records import visits
from tersum.records.store import open_store
from web.site import plan_of


def test_card_shows_volumes_three_ways_strengths_and_cautions(site):
    html = site.get(f"{site.visit}/cards/5").text
    for said in ("Demo Concentrate A", "952 mL", "47.6 mL", "1000 mL", "1 + 20", "4.762 % v/v", "1 in 21",
                 "peracetic acid", "Pour the water first", "Keep the surface wet for 5 min",
                 "The label and the safety data sheet go before anything computed here."):
        assert said in html, said


def test_step_with_a_product_used_as_it_is_has_nothing_to_mix(site):
    plan, seed = plan_of("minibus-1")
    step = replace(plan.steps[4], ratio="", volume_ml=None)
    steps = (*plan.steps[:4], step)
    site.visit_id = sealed(site, replace(plan, visit="undiluted", steps=steps), seed)
    assert "there is nothing to mix" in site.get(f"{site.visit}/cards/5").text


def test_product_that_is_not_known_here_is_told_with_what_to_go_by(site):
    plan, seed = plan_of("minibus-1")
    steps = (*plan.steps[:4], replace(plan.steps[4], product="No <i>such</i> product"))
    site.visit_id = sealed(site, replace(plan, visit="unknown", steps=steps), seed)
    html = site.get(f"{site.visit}/cards/5").text
    assert "is not known: got No &lt;i&gt;such&lt;/i&gt; product" in html and "Go by the label" in html


def sealed(site, plan, seed):
    with open_store(site.home, site.organisation) as store:
        return visits.seal_plan(store, plan, seed=seed, needs={}).visit_id
