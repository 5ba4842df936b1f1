"""Weather from a CSV, from a sample day, and the faults of both."""

from __future__ import annotations

import pytest
from builders.scenario_text import VALID

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.presets import weather_samples
from pourday.scenario.read import read_scenario

ROWS = (
    "time,air_C,humidity,wind_km_h,station\n06:00,8,0.9,5,x\n09:00,12,0.7,9,x\n12:00,17,0.5,18,x\n"
)


def written(tmp_path, weather: str, rows: str = ROWS):
    kept, skip = [], False
    for line in VALID.splitlines():
        if line.startswith("["):
            skip = line.startswith("[weather]")
        if not skip:
            kept.append(line)
    (tmp_path / "day.csv").write_text(rows, encoding="utf-8")
    path = tmp_path / "floor.toml"
    path.write_text("\n".join(kept) + f"\n[weather]\n{weather}\n", encoding="utf-8")
    return path


def faults(tmp_path, weather: str, rows: str = ROWS) -> list[str]:
    with pytest.raises(ScenarioError) as error:
        read_scenario(written(tmp_path, weather, rows))
    return [fault.text for fault in error.value.faults]


def test_a_csv_beside_the_scenario_is_read_in_si(tmp_path):
    weather = read_scenario(written(tmp_path, 'csv = "day.csv"'))[0].weather
    assert weather.at == (6 * 3600.0, 9 * 3600.0, 12 * 3600.0)
    assert weather.air == (8.0, 12.0, 17.0)
    assert weather.wind == pytest.approx((5 / 3.6, 2.5, 5.0))


@pytest.mark.parametrize("name", weather_samples())
def test_every_sample_day_is_a_day(tmp_path, name):
    weather = read_scenario(written(tmp_path, f'sample = "{name}"'))[0].weather
    assert len(weather.at) >= 5
    assert all(0 <= r <= 1 for r in weather.humidity)


def test_every_bad_row_is_named_by_its_line(tmp_path):
    rows = (
        "time,air_C,humidity,wind_km_h\n06:00,8,0.9,5\n07:00,warm,0.9,5\n08:00,9,70,5\n"
        "09:00,9,0.8,-3\n9 am,10,0.8,4\n08:30,11,0.7,4\n19:00,12,0.7,4\n"
    )
    said = faults(tmp_path, 'csv = "day.csv"', rows)
    for words in (
        'line 3 air_C: found "warm"; allowed: -40 to 55, in °C',
        'line 4 humidity: found "70"; allowed: 0 to 1',
        'line 5 wind_km_h: found "-3"; allowed: 0 to 150, in km/h',
        'line 6: found "9 am"; allowed: a time such as "06:30"',
        "line 7: found not after 09:00 on line 5",
        "line 8: found 10.5 h after 08:30 on line 7",
    ):
        assert any(words in line for line in said), words
    assert len(said) == 6


@pytest.mark.parametrize(
    ("weather", "words"),
    [
        ('csv = "none.csv"', "no such file"),
        ("csv = 3", "the path of a CSV file"),
        ('sample = "mildd"', 'did you mean "mild"?'),
        ('sample = "mild"\ncsv = "day.csv"', "exactly one of hours, csv and sample"),
        ("air_shift_C = 1", "exactly one of hours, csv and sample"),
        ('sample = "mild"\nair_shift_C = 40', "-15 to 15"),
        (
            'sample = "mild"\nrain = [{ at = "10:00", length_min = 30, rate_mm_h = -1 }]',
            "rate_mm_h",
        ),
    ],
)
def test_faults_of_the_weather_table(tmp_path, weather, words):
    assert any(words in line for line in faults(tmp_path, weather))


def test_a_csv_without_its_columns_is_refused(tmp_path):
    said = faults(tmp_path, 'csv = "day.csv"', "hour;temp\n6;8\n")
    assert said == [
        "weather.csv (day.csv): found no column time, air_C, humidity, wind_km_h; allowed: a head "
        "line with the columns time, air_C, humidity, wind_km_h, parted by commas"
    ]


def test_a_slump_that_cannot_last_the_road_is_refused(tmp_path):
    text = written(tmp_path, 'sample = "mild"').read_text()
    start = text.index("[mix]") + len("[mix]")
    keys = "\nslump_mm = 100\nslump_loss_mm_h = 200\nleast_slump_mm = 90\n"
    kept = "\n".join(line for line in text[start:].splitlines() if not line.startswith("slump_mm"))
    path = tmp_path / "slump.toml"
    path.write_text(text[:start] + keys + kept)
    with pytest.raises(ScenarioError) as error:
        read_scenario(path)
    # 10 mm to lose at 200 mm/h: 3 min.
    assert any("under 3, when the mix has lost the slump" in f.text for f in error.value.faults)
