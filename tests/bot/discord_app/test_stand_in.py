"""The stand-in refuses what the platform refuses: a check that cannot fail would make the others here worthless."""

import pytest
from stand_in import limits, schema
from stand_in.limits import COMPONENTS_V2


def v2(*components, **more):
    return {"flags": COMPONENTS_V2, "components": list(components), **more}


def words(content):
    return {"type": 10, "content": content}


def gallery(count, name="a.png"):
    return {"type": 12, "items": [{"media": {"url": f"attachment://{name}"}}] * count}


def file(name="a.png"):
    return {"type": 13, "file": {"url": name if "://" in name else f"attachment://{name}"}}


def attached(*names):
    return [{"id": place, "filename": name} for place, name in enumerate(names)]


def button(**changes):
    return {"type": 2, "style": 2, "label": "Why?", "custom_id": "a", **changes}


def row(*buttons):
    return {"type": 1, "components": list(buttons)}


@pytest.mark.parametrize(
    ("body", "complaint"),
    [
        ({"content": "x" * 2001}, "content over 2000"),
        ({"content": ""}, "an empty message"),
        ({"content": "x", "components": [words("x")]}, "without its flag"),
        (v2(words("x" * 2001), words("x" * 2000)), "4001 characters"),
        (v2(words("🧪" * 2001)), "4002 characters"),
        (v2({"type": 17, "components": [words("x")] * 40}), "41 components"),
        (v2(words("x"), content="x"), "exclude content"),
        (v2(words(" ")), "empty text display"),
        (v2(row()), "1 to 5 buttons"),
        (v2(row(*(button(custom_id=str(n)) for n in range(6)))), "1 to 5 buttons"),
        (v2(row(button(), button())), "two components of one custom_id"),
        (v2(row(button(custom_id="x" * 101))), "custom_id takes"),
        (v2(row(button(label="x" * 81))), "label of a button"),
        (v2(row(button(label=" "))), "label of a button"),
        (v2(gallery(1)), "is not attached"),
        (v2(gallery(11), attachments=[{"id": 0, "filename": "a.png"}]), "1 to 10 pictures"),
        (v2(words("x"), attachments=[{"id": 0, "filename": "b.png"}]), "no such file"),
        (v2(words("x"), attachments=[{"id": 0, "filename": "a.png", "description": "x" * 1025}]), "alt text"),
        (v2(file()), "is not attached"),
        (v2(file("https://example.org/a.png")), "shows attachments only"),
        (v2(words("x"), attachments=attached("a.png")), "nowhere shown"),
        (v2(words("x"), file(), attachments=attached("a.png", "b.stl")), "b.stl: attached and nowhere shown"),
        (v2(file("../a.png"), attachments=attached("../a.png")), "can be referred to"),
        (v2(file("ü.png"), attachments=attached("ü.png")), "can be referred to"),
        (v2(file(), file(), attachments=attached("a.png", "a.png")), "two attachments of one name"),
        (v2(*map(file, "abcdefghijk"), attachments=attached(*"abcdefghijk")), "11 attachments"),
        (v2(file("huge.stl"), attachments=attached("huge.stl")), "over 10 MiB"),
        ({"content": "x", "components": [file()]}, "without its flag"),
    ],
)
def test_a_message_over_a_limit_is_refused(body, complaint):
    assert any(
        complaint in fault
        for fault in limits.faults_of_message(body, {"a.png": b"", "huge.stl": bytes(10 * 1024 * 1024 + 1)})
    )


def test_a_message_at_every_limit_is_taken():
    files = [f"{number}.stl" for number in range(9)]
    shown = [gallery(10), *map(file, files)]
    full = v2({"type": 17, "components": [words("x" * 137)] * 29 + [words("x" * 27), *shown[:9]]})
    full["attachments"] = attached("a.png", *files[:8])
    full["attachments"][0]["description"] = "x" * 1024
    sent = {"a.png": bytes(10 * 1024 * 1024)} | dict.fromkeys(files, b"")
    assert limits.faults_of_message(full, sent) == []
    ten = v2(*shown, attachments=attached("a.png", *files))
    assert limits.faults_of_message(ten, sent) == []


def label(**changes):
    return {"type": 18, "label": "x", "component": {"type": 4, "custom_id": "a", "style": 1}, **changes}


@pytest.mark.parametrize(
    "changes",
    [
        {"title": "x" * 46},
        {"custom_id": "x" * 101},
        {"components": []},
        {"components": [label()] * 6},
        {"components": [label(label="x" * 46)]},
        {"components": [label(description="x" * 101)]},
        {"components": [label(component={"type": 4, "custom_id": "a", "placeholder": "x" * 101})]},
    ],
)
def test_a_form_over_a_limit_is_refused(changes):
    form = {"title": "x" * 45, "custom_id": "x", "components": [label()] * 5}
    assert limits.faults_of_modal(form) == []
    assert limits.faults_of_modal(form | changes)


def option(**changes):
    return {"name": "a", "type": 3, "description": "x", **changes}


@pytest.mark.parametrize(
    "changes",
    [
        {"name": "Readings"},
        {"name": "x" * 33},
        {"description": "x" * 101},
        {"description": ""},
        {"options": [option()] * 26},
        {"options": [option(choices=[{"name": "x", "value": "x"}] * 26)]},
        {"options": [option(choices=[{"name": "x" * 101, "value": "x"}])]},
        {"options": [option(choices=[{"name": "x", "value": "x"}], autocomplete=True)]},
        {"options": [option(name=f"o{n}", choices=[{"name": "x" * 90, "value": "x"}] * 25) for n in range(4)]},
    ],
)
def test_a_registration_over_a_limit_is_refused(changes):
    command = {"name": "readings", "type": 1, "description": "x", "options": []}
    assert limits.faults_of_commands([command]) == []
    assert limits.faults_of_commands([command | changes])


def test_suggestions_over_a_limit_are_refused():
    good = {"name": "x", "value": "x"}
    assert limits.faults_of_suggestions({"choices": [good] * 25}) == []
    assert limits.faults_of_suggestions({"choices": [good] * 26})
    assert limits.faults_of_suggestions({"choices": [good | {"value": "x" * 101}]})


@pytest.mark.skipif(not schema.DESCRIPTION.is_file(), reason="the published description is not beside the checkout")
def test_the_published_description_is_followed_along_the_branch_that_was_meant():
    body = v2({"type": 17, "components": [words("x"), {"type": 12, "items": []}]})
    (fault,) = schema.faults_by_description(schema.FOLLOW_UP, body)
    assert "components/0/components/1/items" in fault
