"""``materials`` lists the library and shows where every value comes from."""

from solidsim.materials import library_names


def test_list(ask, ask_json):
    listed = ask("materials").stdout
    assert all(name in listed for name in library_names())
    assert [one["name"] for one in ask_json("materials")["materials"]] == library_names()


def test_one_with_its_sources(ask, ask_json):
    (shown,) = ask_json("materials", "green-sand")["materials"]
    text = ask("materials", "green-sand").stdout
    assert shown["properties"]
    assert all(own["source"] in text for own in shown["properties"])


def test_nearest_name(ask):
    result = ask("materials", "gray-irn")
    assert (result.exit_code, result.stdout) == (3, "")
    assert "gray-iron" in result.stderr


def test_picture(ask, tmp_path):
    path = tmp_path / "iron.png"
    assert ask("materials", "gray-iron", "--picture", path).exit_code == 0
    assert path.read_bytes().startswith(b"\x89PNG")
    assert ask("materials", "--picture", path).exit_code == 2
