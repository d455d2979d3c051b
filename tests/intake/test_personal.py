"""The register of personal data knows every text field, and nothing that is not there."""

from intake import personal


def test_the_register_is_complete():
    assert personal.every_text_field_is_registered(None) == []


def test_a_field_forgotten_and_a_field_gone_are_both_found(monkeypatch):
    monkeypatch.setattr(personal, "PERSONAL", {**personal.PERSONAL, "intake.Client.shoe_size": personal.CLIENT})
    monkeypatch.delitem(personal.PERSONAL, "intake.Client.name")
    found = {(error.id, error.msg.split()[0]) for error in personal.every_text_field_is_registered(None)}
    assert ("farpaddock.E010", "intake.Client.name") in found
    assert any(error.id == "farpaddock.E011" and "shoe_size" in error.msg
               for error in personal.every_text_field_is_registered(None))  # fmt: skip


def test_no_field_is_both():
    assert not set(personal.PERSONAL) & personal.NOT_PERSONAL


def test_every_personal_field_says_what_becomes_of_it():
    assert {entry.on_erasure for entry in personal.PERSONAL.values()} <= {"blank", "drop"}
    assert all(entry.purpose for entry in personal.PERSONAL.values())
