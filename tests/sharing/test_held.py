"""Which strings of a household are looked for, and how private each is."""

from __future__ import annotations

import pytest

from weeksync.redact.held import Held, HeldKind, of_calendar, of_file


def kinds(held: list[Held]) -> dict[str, HeldKind]:
    """Each string with its kind."""
    return {one.text: one.kind for one in held}


def of(name: str, text: str) -> dict[str, HeldKind]:
    """The strings of a file."""
    return kinds(list(of_file(name, text.encode("utf-8"))))


def test_names_places_and_titles_of_toml_files_are_told_apart() -> None:
    """By their keys; a key nobody knows is words, a key of days or colours is nothing."""
    found = of(
        "config.toml",
        """
        format = 1
        colour = "moss"
        [household]
        name = "The Ferns"
        [[people]]
        id = "nora"
        name = "Nora"
        role = "parent"
        [[appointments]]
        title = "Dentist"
        place = "2 Fern Row, Brook"
        repeats = "FREQ=DAILY"
        unknown = "a key of later"
        """,
    )
    assert found["The Ferns"] is found["Nora"] is found["nora"] is HeldKind.PERSON
    assert found["2 Fern Row, Brook"] is found["2 Fern Row"] is found["Brook"] is HeldKind.PLACE
    assert found["Dentist"] is found["a key of later"] is found["parent"] is HeldKind.WORDS
    assert not {"moss", "FREQ=DAILY"} & found.keys()


def test_sums_are_amounts_in_money_files_alone() -> None:
    """Whole numbers elsewhere are minutes and limits."""
    text = 'bills = [{ title = "Rent", amount = 81500, paid = [{ amount = 810 }] }]'
    assert {text: kind for text, kind in of("money.toml", text).items() if text.isdigit()} == {
        "81500": HeldKind.AMOUNT,
        "810": HeldKind.AMOUNT,
    }
    assert "81500" not in of("tasks.toml", text)


def test_a_file_with_mistakes_is_searched_line_by_line() -> None:
    """What cannot be read is held all the same."""
    assert of("tasks.toml", "title = Dentist Juno") == {"title = Dentist Juno": HeldKind.WORDS}
    assert "{broken" in of("archive/2027-W11.json", "{broken")


def test_marks_that_are_no_table_are_searched_line_by_line() -> None:
    """A field longer than any table has, as only an accident or a stranger writes it."""
    line = "sleep,2027-03-22,nora," + "7" * 140_000
    assert of("marks/2027-W12.csv", f"id,date,person,value\n{line}")[line] is HeldKind.WORDS
    assert not of("marks/2027-W12.csv", "")


def test_addresses_of_mail_and_telephones_are_found_in_any_text() -> None:
    """In notes as well; dates are no telephone numbers."""
    found = of("check-ins/2027-03-22.md", "Ask nora@fern.invalid or 01632 960123 by 2027-03-22.")
    assert found["nora@fern.invalid"] is HeldKind.EMAIL
    assert found["01632 960123"] is HeldKind.PHONE
    assert list(found.values()).count(HeldKind.PHONE) == 1


def test_check_ins_and_marks() -> None:
    """The head and the text of the one; ids, devices and long figures of the other."""
    note = '+++\nformat = 1\nfeeling = "wound up"\n+++\n\nA note.\n'
    assert of("check-ins/2027-03-22.md", note).keys() == {"wound up", "A note."}
    marks = "id,date,person,value,recorded_at,received_at,device\n"
    marks += "steps,2027-03-22,nora,8423,x,x,tablet\nwater,2027-03-22,nora,7,x,x,tablet\n"
    assert of("marks/2027-W12.csv", marks).keys() == {"steps", "water", "nora", "8423", "tablet"}


ICS = """BEGIN:VCALENDAR\r
X-WR-CALNAME:Fern family\r
BEGIN:VEVENT\r
UID:abc-123@fern.invalid\r
DTSTART:20270322T090000\r
SUMMARY:Dentist\\, with\r
  Juno\r
LOCATION;LANGUAGE=en:2 Fern Row\\, Brook\r
ATTENDEE;CN="Rosa Quill";ROLE=CHAIR:mailto:rosa@quill.invalid\r
ORGANIZER;CN=Rosa Quill:tel:+441632960123\r
X-SOMEWHERE-LOCATION;X-TITLE=Reading room:geo:50.1\\,-5.2\r
DESCRIPTION:Call 01632 960124\r
a line that is none\r
END:VEVENT\r
END:VCALENDAR\r
"""


def test_every_text_of_a_calendar_is_held() -> None:
    """Unfolded and unescaped (RFC 5545, sections 3.1 and 3.3.11), of properties of any name."""
    found = kinds(list(of_calendar("calendar home", ICS.encode("utf-8"))))
    assert found["Dentist, with Juno"] is HeldKind.WORDS
    assert found["Fern family"] is found["a line that is none"] is HeldKind.WORDS
    assert found["2 Fern Row, Brook"] is found["Brook"] is found["Reading room"] is HeldKind.PLACE
    assert found["Rosa Quill"] is HeldKind.NAME
    assert found["rosa@quill.invalid"] is HeldKind.EMAIL
    assert found["+441632960123"] is found["01632 960124"] is HeldKind.PHONE
    assert found["abc-123@fern.invalid"] in {HeldKind.CODE, HeldKind.EMAIL}
    assert not any("20270322T090000" in text for text in found)


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"SUMMARY:caf\xe9", b"\r\n \r\n:\r\n;"])
def test_any_bytes_can_be_read(content: bytes) -> None:
    """Whatever a file holds; a text in the encoding of old programs keeps its letters."""
    for name in ("config.toml", "marks/2027-W12.csv", "a.md", "a.json", "a.ics"):
        found = kinds(list(of_file(name, content)))
        assert "caf\xe9" in found or b"SUMMARY" not in content or name != "a.ics"


def test_the_place_says_where_a_string_was_found() -> None:
    """File and key, or calendar and property."""
    (one,) = of_file("tasks.toml", b'[[tasks]]\ntitle = "Dentist"\n')
    assert one.where == "tasks.toml: tasks.title"
    assert {one.where for one in of_calendar("calendar home", b"SUMMARY:Dentist")} == {
        "calendar home: SUMMARY"
    }
