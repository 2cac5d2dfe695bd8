"""The set-up: every listed choice, what holds where nothing is said, holes, and what is refused."""

import zlib

import pytest

from analysis.errors import BadInput
from analysis.setup import Hole, make_limit, parse_holes, parse_setup, setup_crc32
from analysis.setup.parse import parse_pairs
from analysis.units import parse_length

# As promised to whoever writes a set-up: kept apart from the program's own lists on purpose.
PROMISED = {
    "surface": ["face", "outside", "bore"],
    "stage": [
        "as found", "end float", "on the lathe", "after cut", "half turn", "as left", "check standard",
        "exercise", "other",
    ],
    "declared_end": ["gauge", "far"],
    "mark": ["event", "index"],
    "mark_on": ["part", "arbor"],
    "gauge_type": ["plunger", "lever"],
    "turning": ["part", "indicator"],
}  # fmt: skip
QUANTITIES = ["tir", "tir_first", "eccentricity", "tilt", "form", "total", "thickness", "end_float"]


@pytest.mark.parametrize(("key", "value"), [(key, one) for key, all_ in PROMISED.items() for one in all_])
def test_every_listed_choice_is_taken(key: str, value: str) -> None:
    assert getattr(parse_setup({key: value}), key) == value


@pytest.mark.parametrize("key", [*PROMISED, "sense", "angle_source", "button_1", "button_2"])
def test_any_other_value_of_a_listed_choice_is_refused(key: str) -> None:
    with pytest.raises(BadInput, match=f"{key} 'sideways' is not one of") as refused:
        parse_setup({key: "sideways"})
    assert refused.value.exit_status == 2


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_every_quantity_can_be_limited(quantity: str) -> None:
    setup = parse_setup({"surface": "outside", "limit": "0.05 mm", "limit_quantity": quantity})
    assert setup.limit is not None
    assert setup.limit.quantity == quantity


def test_radial_means_outside() -> None:
    assert parse_setup({"surface": "radial"}).surface == "outside"


DEFAULTS = {
    "surface": "face",
    "stage": "other",
    "declared_end": "gauge",
    "sense": 1,
    "mark": "event",
    "mark_on": "part",
    "gauge_type": "plunger",
    "turning": "part",
    "channel": 0,
    "limit": None,
    "track_radius_mm": None,
    "index_angle_deg": None,
    "holes": (),
    "unknown": (),
}


@pytest.mark.parametrize(("name", "value"), DEFAULTS.items())
def test_where_nothing_is_said_this_holds(name: str, value: object) -> None:
    assert getattr(parse_setup({}), name) == value


def test_a_limit_without_a_quantity_is_one_on_the_tir() -> None:
    limit = parse_setup({"limit": "3 thou"}).limit
    assert limit is not None
    assert limit.quantity == "tir"


@pytest.mark.parametrize(("written", "sense"), [("+1", 1), ("1", 1), ("-1", -1)])
def test_sense_is_plus_or_minus_one(written: str, sense: int) -> None:
    assert parse_setup({"sense": written}).sense == sense


def test_an_indicator_that_is_carried_round_turns_the_sense_about() -> None:
    assert parse_setup({"turning": "indicator"}).sense == -1


@pytest.mark.parametrize(
    ("key", "name", "text", "value"),
    [
        ("track_radius", "track_radius_mm", "4.331 in", 4.331 * 25.4),
        ("index_angle", "index_angle_deg", "180", 180.0),
        ("index_angle", "index_angle_deg", "180deg", 180.0),
        ("index_angle", "index_angle_deg", "0", 0.0),
        ("gauge_angle", "gauge_angle_deg", "15", 15.0),
        ("counts_per_turn", "counts_per_turn", "2411.75", 2411.75),
        ("channel", "channel", "15", 15),
        ("places", "places", "8", 8),
    ],
)
def test_a_number_gets_its_type(key: str, name: str, text: str, value: float) -> None:
    assert getattr(parse_setup({key: text}), name) == value


@pytest.mark.parametrize("key", ["tip_clock", "tool_clock", "crayon_at"])
@pytest.mark.parametrize("hour", [str(hour) for hour in range(1, 13)])
def test_clock_places_run_from_1_to_12(key: str, hour: str) -> None:
    assert parse_setup({key: hour}).text[key] == hour


@pytest.mark.parametrize("key", ["tip_clock", "tool_clock", "crayon_at"])
@pytest.mark.parametrize("hour", ["0", "13", "3.5", "noon", "-3"])
def test_no_other_clock_place_is_taken(key: str, hour: str) -> None:
    with pytest.raises(BadInput, match="is not a clock place from 1 to 12"):
        parse_setup({key: hour})


REFUSED = [
    ({"channel": "16"}, "channel '16' is not a number from 0 to 15"),
    ({"channel": "-1"}, "is not a number from 0 to 15"),
    ({"track_radius": "110"}, "track_radius '110' has no unit"),
    ({"track_radius": "0 mm"}, "track_radius '0 mm' is not above zero"),
    ({"limit_radius": "-1 in"}, "limit_radius '-1 in' is not above zero"),
    ({"tip_radius": "1.5"}, "tip_radius '1.5' has no unit"),
    ({"index_angle": "half"}, "index_angle 'half' is not a number"),
    ({"counts_per_turn": "0"}, "counts_per_turn '0' is not above zero"),
    ({"places": "2"}, "places '2' is not a whole number from 3 to 360"),
    ({"places": "7.5"}, "places '7.5' is not a whole number"),
    ({"limit": "0 mm"}, "limit '0 mm' is not above zero"),
    ({"limit": "-0.05 mm"}, "is not above zero"),
    ({"limit": "0.05"}, "limit '0.05' has no unit"),
    ({"limit": "1 mm", "limit_quantity": "eccentricity"}, "a face has no eccentricity"),
    ({"limit": "1 mm", "limit_quantity": "wobble"}, "limit_quantity 'wobble' is not one of"),
    ({"holes": "361"}, "the number of holes must be from 1 to 360"),
    ({"holes": "0"}, "the number of holes must be from 1 to 360"),
    ({"holes": "10 20:180"}, "a width must be from 0 to 180 degrees"),
    ({"holes": "10 20:-1"}, "a width must be from 0 to 180 degrees"),
    ({"holes": "10 top"}, "holes: angle 'top' is not a number"),
]


@pytest.mark.parametrize(("text", "words"), REFUSED, ids=[words for _, words in REFUSED])
def test_what_cannot_be_is_refused(text: dict[str, str], words: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_setup(text)
    assert words in str(refused.value)


def test_all_that_is_wrong_is_told_at_once() -> None:
    with pytest.raises(BadInput) as refused:
        parse_setup({"surface": "top", "limit": "0.05", "channel": "x", "holes": "500"})
    said = str(refused.value)
    assert [word for word in ("surface", "limit", "channel", "holes") if word in said] == [
        "surface",
        "limit",
        "channel",
        "holes",
    ]


def test_a_refusal_of_many_things_is_one_line() -> None:
    with pytest.raises(BadInput) as refused:
        parse_setup({"surface": "top", "limit": "0.05"})
    assert "\n" not in str(refused.value)


def test_so_many_holes_stand_evenly_from_the_mark() -> None:
    assert [hole.deg for hole in parse_holes("6")] == [0.0, 60.0, 120.0, 180.0, 240.0, 300.0]


def test_counted_holes_have_a_place_and_no_width() -> None:
    assert all(hole.width_deg == 0.0 for hole in parse_holes("6"))


@pytest.mark.parametrize(
    "text", ["15:8, 95, 200.5:3", "15:8 95 200.5:3", "15:8,95,200.5:3", "15:8 95 200.5:3 "]
)
def test_a_list_of_holes_may_give_each_its_width(text: str) -> None:
    assert parse_holes(text) == (Hole(15.0, 8.0), Hole(95.0, 0.0), Hole(200.5, 3.0))


def test_one_hole_with_a_width_is_a_place_not_a_count() -> None:
    assert parse_holes("15:8") == (Hole(15.0, 8.0),)


def test_an_empty_list_is_no_holes() -> None:
    assert parse_holes("  ") == ()


def test_unknown_keys_are_kept_and_named() -> None:
    setup = parse_setup({"colour": "red", "part": "hub"})
    assert (setup.unknown, setup.text["colour"]) == (("colour",), "red")


def test_keys_of_a_rig_are_no_unknown_keys() -> None:
    assert parse_setup({"rig.pattern": "x"}).unknown == ()


def test_where_a_limit_is_written_stays_with_it() -> None:
    limit = parse_setup({"limit": "3 thou", "limit_source": "manual p. 12", "limit_radius": "6 in"}).limit
    assert limit is not None
    assert limit.source == "manual p. 12"
    assert limit.radius_mm == pytest.approx(152.4, rel=1e-15)  # one multiplication


def test_an_empty_value_is_as_good_as_none() -> None:
    setup = parse_setup(
        {"track_radius": "", "limit": " ", "index_angle": "", "tip_clock": "", "limit_quantity": ""}
    )
    assert (setup.track_radius_mm, setup.limit, setup.index_angle_deg) == (None, None, None)


def test_a_quantity_off_the_list_is_refused_for_a_limit_made_alone() -> None:
    with pytest.raises(BadInput, match="quantity 'wobble' is not one of"):
        make_limit(parse_length("1 mm"), "wobble")


def test_an_eccentricity_of_a_bore_can_be_limited() -> None:
    assert make_limit(parse_length("1 mm"), "eccentricity", surface="bore").quantity == "eccentricity"


def test_the_checksum_is_that_of_the_sorted_lines() -> None:
    assert (
        setup_crc32({"part": "hub", "job": "7"})
        == f"{zlib.crc32(b'job=7' + bytes([10]) + b'part=hub' + bytes([10])):08x}"
    )


def test_the_checksum_does_not_count_itself_in() -> None:
    text = {"part": "hub", "job": "7"}
    assert setup_crc32({**text, "crc32": "00000000"}) == setup_crc32(text)


def test_pairs_are_both_in_the_unit_at_the_end() -> None:
    assert parse_pairs("0:0 1:+10 in", "gauge_table") == ((0.0, 0.0), (25.4, 254.0))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("0:0 1:1", "does not end in a unit"),
        ("", "does not end in a unit"),
        ("0:0 1 mm", "is not READING:ERROR"),
    ],
)
def test_pairs_are_refused_otherwise(text: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        parse_pairs(text, "gauge_table")
