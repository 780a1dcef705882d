"""Every code that a rule can give has a sentence, in every language; each says its numbers and what to do."""

import ast
import math
import string
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tersum.visit
from tersum.documents import sentences
from tersum.documents.text import PSEUDO_LOCALE
from tersum.visit.decision import VERDICTS, Decision, LimitInForce, Reason, ReductionStatement, Terms
from tersum.visit.readings import FAULTS_AFTER_THE_NUMBER, FAULTS_BEFORE_THE_NUMBER, STAGES, Reading
from tersum.visit.rules import decide_point

RULES = sorted(Path(tersum.visit.__file__).parent.glob("rule_v*.py"))
PHONE_NEVER_SAYS = ("guarded", "quench", "censored", "recovery", "undecidable", "ledger", "head", "outbox", "seal")


def codes_given(path):
    """Return every code that a rule's source gives: to a reason, or to the function that makes one."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            if name in ("Reason", "another_look") and node.args:
                texts = [one.value for one in ast.walk(node.args[0]) if isinstance(one, ast.Constant)]
                yield from (text for text in texts if isinstance(text, str))


def test_rules_are_found_with_their_codes():
    assert RULES
    found = set().union(*(codes_given(path) for path in RULES))
    assert {"above-limit", "at-or-below-release-level", "got-dirtier", "between-release-level-and-limit"} <= found


@pytest.mark.parametrize("path", RULES, ids=lambda path: path.stem)
def test_every_code_of_a_rule_has_a_sentence(path):
    assert set(codes_given(path)) <= set(sentences.codes())


def test_every_fault_of_a_reading_has_a_sentence():
    assert {*FAULTS_BEFORE_THE_NUMBER.values(), *FAULTS_AFTER_THE_NUMBER} <= set(sentences.codes())


def _number():
    return st.one_of(st.integers(1, 3000).map(lambda n: (float(n), float(n))),
                     st.just((0.0, 5.0)), st.just((9999.0, math.inf)), st.just((0.0, math.inf)))


@st.composite
def points(draw):
    answer = st.sampled_from([None, True, True, False])
    found = []
    for swab in range(draw(st.integers(0, 5))):
        low, high = draw(_number())
        found.append(Reading(
            "seat", draw(st.sampled_from(STAGES)), low, high, "x", round=draw(st.integers(1, 4)), swab=swab + 1,
            blank_rlu=draw(st.sampled_from([None, 3.0])), surface=draw(st.sampled_from([None, "smooth"])),
            dry=draw(answer), rinsed=draw(answer), fresh_area=draw(answer), swab_in_date=draw(answer),
            instrument_checked=draw(answer),
            void_reason=draw(st.sampled_from([None, None, None, *FAULTS_AFTER_THE_NUMBER]))))
    return found


@st.composite
def decisions(draw):
    rule = draw(st.sampled_from(["limit", "limit and reduction", "plain limit"]))
    target = draw(st.sampled_from([1.0, 3.0])) if rule == "limit and reduction" else None
    terms = Terms(rule=rule, looks=draw(st.integers(1, 3)), reduction_target_log10=target,
                  stage=draw(st.sampled_from(STAGES[1:])), detection_rlu=draw(st.sampled_from([None, 5.0])))
    limit = draw(st.sampled_from([None, LimitInForce(250.0, "x")]))
    return decide_point("seat", draw(points()), terms=terms, limit=limit,
                        fresh_area_left=draw(st.sampled_from([None, True, False])),
                        as_found_planned=draw(st.booleans()))


def all_sentences(decision):
    yield sentences.verdict_word(decision.verdict)
    yield sentences.why(decision)
    yield sentences.what_next(decision)
    yield from map(sentences.remark_sentence, decision.remarks)
    if decision.reduction:
        yield sentences.reduction_sentence(decision.reduction)


@given(decisions())
def test_every_decision_is_told_in_whole_sentences(decision):
    for told in all_sentences(decision):
        assert told
        assert not set("{}") & set(told)
        assert "  " not in told
        assert "nan" not in told.casefold()
    assert sentences.why(decision).endswith(".")
    assert sentences.what_next(decision).endswith(".")


@given(decisions())
def test_no_word_escapes_the_pseudo_locale(decision):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TERSUM_LANG", PSEUDO_LOCALE)
        for told in all_sentences(decision):
            assert not set(outside_the_brackets(told)) & set(string.ascii_letters), told


def outside_the_brackets(text):
    depth, left = 0, []
    for mark in text:
        depth += mark == "⟦"
        if not depth:
            left.append(mark)
        depth -= mark == "⟧"
    return "".join(left)


@given(decisions())
def test_phone_words_hold(decision):
    told = " ".join(all_sentences(decision)).casefold()
    words = set(told.replace(".", " ").replace(",", " ").replace(";", " ").split())
    assert not words & set(PHONE_NEVER_SAYS)


def decided(verdict="done", code="at-or-below-release-level", mean=41.0, *, operator="=", n=1, looks_left=1, **more):
    parameters = {"limit_rlu": 250.0, "release_level_rlu": 103.365, "n": n, **more}
    return Decision("seat", "cleaned", verdict, Reason(code, parameters), n, 1, mean, operator, 0.5, 250.0, 103.365,
                    looks_left, None)


def test_number_next_to_a_level_is_told_apart_from_it():
    assert sentences.why(decided(mean=103.364)).startswith("103.364 RLU is at or below the release level of 103.365")
    assert sentences.why(decided("clean-again", "above-limit", 250.2)) == (
        "250.2 RLU is above the limit of 250 RLU.")


def test_bound_is_told_as_a_bound():
    assert sentences.why(decided(mean=5.0, operator="<=")).startswith("≤ 5 RLU is at or below")
    assert sentences.why(decided("clean-again", "above-limit", 9999.0, operator=">=")).startswith("≥ 9999 RLU is above")


def test_what_ran_out_follows_why_it_was_wanted():
    told = sentences.why(decided("clean-again", "not-shown-on-the-last-look", 190.0, n=2, looks_left=0,
                                 because="between-release-level-and-limit"))
    assert told == ("190 RLU (mean of 2 swabs) lies between the release level of 103 RLU and the limit of 250 RLU: too "
                    "close to tell. No planned swab is left.")


def test_reduction_never_reads_100_percent():
    for percent in (99.99, 99.999, 100.0):
        told = sentences.reduction_sentence(ReductionStatement(1e5, percent, 5.0, 4.0, 6.0, "=", "met"))
        assert " 100 %" not in told
        assert told.endswith("; the agreed reduction is met.")


@pytest.mark.parametrize("verdict", VERDICTS)
def test_every_verdict_has_its_own_words(verdict):
    words = {sentences.verdict_word(one) for one in VERDICTS}
    assert len(words) == len(VERDICTS)
    assert sentences.verdict_word(verdict)


@pytest.mark.parametrize(("operator", "log10", "told"), [
    ("=", -0.954243, "Up by a factor of 9 (log10 reduction -0.954"), (">=", -0.954243, "Up by a factor of 9 at most"),
    ("<=", -0.954243, "Up by a factor of 9 at least"), ("=", 0.954243, "Down by 88.9 % (a factor of 9")])
def test_a_rise_is_told_as_a_rise(operator, log10, told):
    percent = round(100 * (1 - 10**-log10), 2)
    said = sentences.reduction_sentence(
        ReductionStatement(10**log10, percent, log10, log10 - 0.4, log10 + 0.4, operator, "not-met"))
    assert said.startswith(told) and "-800" not in said
    assert said.endswith("; the agreed reduction is not met.")


def test_reduction_not_met_by_a_rise_says_so():
    reduction = ReductionStatement(1 / 9, -800.0, -0.954243, -1.4, -0.5, "=", "not-met")
    said = sentences.why(replace(decided("clean-again", "reduction-not-met", target_log10=1.0), reduction=reduction))
    assert said == "It did not come down; at least 90 % was agreed."
