"""``materials`` lists the library and shows where every value comes from."""

from solidsim.materials import library_names


def test_list(ask, ask_json):
    listed = ask("materials").stdout
    assert all(name in listed for name in library_names())
    assert [one["name"] for one in ask_json("materials")["materials"]] == library_names()


def test_one_with_its_sources(ask, ask_json):
    (shown,) = ask_json("materials", "green-sand")["materials"]
    text = " ".join(ask("materials", "green-sand").stdout.split())
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


def test_two_side_by_side(ask, ask_json, tmp_path):
    path = tmp_path / "two.png"
    text = ask("materials", "green-sand", "zircon-sand", "--picture", path).stdout
    assert path.read_bytes().startswith(b"\x89PNG")
    header, *rows = text.splitlines()
    assert "Green silica sand" in header
    assert "Zircon sand" in header
    (density,) = [row for row in rows if row.startswith("density ") and "(" not in row]
    assert density.split()[1::2] == ["1600", "2800"]
    both = ask_json("materials", "green-sand", "zircon-sand")["materials"]
    assert [one["name"] for one in both] == ["green-sand", "zircon-sand"]
    assert ask("materials", "a356", "413", "319").exit_code == 2


def test_a_card_to_start_from(ask, tmp_path):
    path = tmp_path / "pit-sand.toml"
    assert ask("materials", "green-sand", "--write", path).exit_code == 0
    shown = ask("materials", path)
    assert shown.exit_code == 0
    assert "My own material" in shown.stdout
    kept = path.read_bytes()
    assert ask("materials", "a356", "--write", path).exit_code == 2
    assert path.read_bytes() == kept
    assert ask("materials", "a356", "--write", path, "--force").exit_code == 0
    assert ask("materials", "a356", "--write", tmp_path / "x.txt").exit_code == 2
