"""The meter of `plain.py` against published examples and against texts in which the answer is plain."""

import pytest
from plain import grade, has_verb, read, sentences_of, syllables

PLATYPUS = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."
#: Syllables as dictionaries divide the words; from memory.
DIVIDED = {
    1: "a you stand hang reach fire wire hours moved closed stopped called one whole straps gauge",
    2: "harness trolley rescue rescued rescues ladder hooking table middle tightened trailer vapor before careful release",
    3: "rescuer attendant vehicle visitor radio area employer arrested emergence supervise overhead",
    4: "supervisor competency emergency material alternative",
    5: "electricity",
    6: "responsibility",
}


@pytest.mark.parametrize(("count", "words"), DIVIDED.items())
def test_syllables(count, words):
    """Each word has the syllables that a dictionary gives it."""
    assert {word: syllables(word) for word in words.split()} == dict.fromkeys(words.split(), count)


def test_grade_of_published_sentences():
    """A sentence of 13 words and 24 syllables has grade 11.3, six words of one syllable have -1.4: examples given beside the formula in encyclopedias; from memory."""
    assert round(grade([PLATYPUS]), 1) == 11.3
    assert round(grade(["The cat sat on the mat."]), 1) == -1.4


def test_sentences():
    """A full stop ends a sentence, but not after an initial, in a figure or after "No."."""
    assert sentences_of("Ask J. Whitlow. Call 911. It is 9.7 ft high! (See the plan.) No. 4 is out.") == [
        "Ask J. Whitlow.", "Call 911.", "It is 9.7 ft high!", "(See the plan.)", "No. 4 is out."
    ]  # fmt: skip


@pytest.mark.parametrize("sentence", [
    "Attach to the back ring.", "Do not climb.", "The bay is closed.", "Only rescuers may go up.", "Climber: pull the line hard.", "Users connect on the ground.", "Stop.",
    "Check the trailer against Table 1.", "Nobody may climb here.", "The gate operator calls 911.", "The shift supervisor calls.",
])  # fmt: skip
def test_with_a_verb(sentence):
    """Duties and states, with an actor or as an order, have a verb."""
    assert has_verb(sentence)


@pytest.mark.parametrize("sentence", [
    "Emergency stop.", "More: plan HR-1, control room.", "Lighting: 160 lux at the walkway.", "Decided by: shift supervisor.", "The bay phone beside the door.", "2 rescuers.", "No rescue.",
])  # fmt: skip
def test_without_a_verb(sentence):
    """Labels and lists of things have none, even with a word that may be one elsewhere."""
    assert not has_verb(sentence)


def test_what_is_read():
    """Headings, tables and captions count as words and are no sentences; a step without a full stop is no sentence without a verb."""
    paper = read(
        "# Title here\n\n## One {: #one }\n\nThe bay is open. Nobody here.\n\n- a lamp\n\n| a | b |\n| :-- | :-- |\n| c | d |\n"
    )
    assert paper.words == 15
    assert paper.sentences == ("The bay is open.", "Nobody here.", "a lamp")
    assert paper.verbless == ("Nobody here.",)
    assert (paper.longest, paper.lengths) == (4, (4, 2, 2))


def test_a_short_question_needs_no_verb():
    """A question of up to three words may stand without a verb; a longer one, and the same words as a statement, may not."""
    paper = read("# Title\n\nNo answer? Thunder, ice or wind? No phone in sight? No answer.\n")
    assert paper.verbless == ("Thunder, ice or wind?", "No phone in sight?", "No answer.")


def test_a_caption_that_no_page_shows_is_not_counted():
    """The words of a caption count where it is printed, and not where it is silent."""
    table = "| a | b |\n| :-- | :-- |\n| c | d |\n"
    shown, silent = (read(f"# Title\n\nOne two three {{: .caption{more} }}\n\n{table}") for more in ("", " .silent"))
    assert (shown.words, silent.words) == (8, 5)
