"""The Python module, installed from its wheel in a clean environment: `.ci/python` runs this."""

import json
import os
import pathlib
import signal
import subprocess
import sys
import threading
import time
import unittest

import setband

ROOT = pathlib.Path(__file__).resolve().parents[2]
READING_ROOM = ROOT / "scenarios" / "reading_room.yaml"

HALL = """
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}
variants:
  warmer: {zones.hall.controls.heat: 22}
"""


class Sources(unittest.TestCase):
    def test_path_text_and_dict_say_the_same(self):
        text = setband.run(HALL)
        as_dict = {
            "period": {"from": "2025-04-16"},
            "weather": {"design_day": {"high": 18, "range": 11}},
            "zones": {
                "hall": {
                    "space": {"floor": "60 m2"},
                    "unit": {"heating": "4 kW", "cooling": "4 kW"},
                    "controls": {"heat": 20, "cool": 24},
                }
            },
        }
        self.assertEqual(text.figures, setband.run(as_dict).figures)
        by_path = setband.run(READING_ROOM)
        by_text = setband.run(READING_ROOM.read_text())
        self.assertEqual(by_path.figures, by_text.figures)
        self.assertEqual(setband.run(str(READING_ROOM)).title, by_path.title)

    def test_files_come_from_memory(self):
        rows = "".join(f"2025-04-{16 + h // 24}T{h % 24:02}:00,{10 + h % 24 / 4}\n" for h in range(25))
        text = HALL.replace("{design_day: {high: 18, range: 11}}", "{file: yard.csv}")
        run = setband.run(text, files={"yard.csv": "time,temperature\n" + rows})
        self.assertGreater(run.figures["heating_kwh"], 0)
        with self.assertRaises(setband.ScenarioError):
            setband.run(text)

    def test_variants_changes_and_seeds(self):
        base = setband.run(HALL).figures["heating_kwh"]
        variant = setband.run(HALL, variant="warmer").figures["heating_kwh"]
        changed = setband.run(HALL, changes={"zones.*.controls.heat": 22}, seed=3)
        self.assertGreater(variant, base)
        self.assertEqual(variant, changed.figures["heating_kwh"])
        self.assertEqual(changed.summary["seed"], 3)


class Faults(unittest.TestCase):
    def test_all_faults_come_at_once_with_places(self):
        with self.assertRaises(setband.ScenarioError) as caught:
            setband.run(HALL.replace("heat: 20", "haet: 20").replace("60 m2", "60"))
        codes = {fault["code"] for fault in caught.exception.faults}
        self.assertGreater(len(codes), 1)
        first = next(it for it in caught.exception.faults if it["code"] == "unknown-key")
        self.assertEqual(first["line"], 5)
        self.assertIn("heat", first["remedy"])
        self.assertIsInstance(caught.exception, ValueError)

    def test_wrong_calls_say_what_would_be_right(self):
        for call, word in [
            (lambda: setband.run(HALL, variant="warmr"), "warmer"),
            (lambda: setband.run(HALL, changes={"zones.attic.controls.heat": 1}), "hall"),
            (lambda: setband.check(HALL, code="none"), "iecc"),
            (lambda: setband.sweep(HALL, {"zones.*.band": "0..4"}), "step"),
            (lambda: setband.sweep(HALL, {"zones.*.band": "0..4:1"}, minimise="joy"), "total_kwh"),
            (lambda: setband.explain("min_dedband"), "min_deadband"),
        ]:
            with self.assertRaises(setband.ScenarioError) as caught:
                call()
            self.assertIn(word, str(caught.exception))
            self.assertEqual(caught.exception.faults, [])
        with self.assertRaises(setband.ScenarioError):
            setband.run("/no/such/file.yaml")
        with self.assertRaises(TypeError):
            setband.run(21)

    def test_a_run_that_no_building_has_is_an_error(self):
        furnace = HALL.replace("unit:", "gains: {power: 500 kW}, unit:").replace("60 m2", "1 m2")
        with self.assertRaises(setband.RunError):
            setband.run(furnace)


class Results(unittest.TestCase):
    def test_a_run_is_dicts_tables_and_charts(self):
        run = setband.run(READING_ROOM)
        self.assertEqual(run.summary["energy"]["total_kwh"], run.figures["total_kwh"])
        self.assertEqual(list(run.zones), ["reading_room"])
        self.assertEqual(len(run.steps), 24 * 60)
        self.assertEqual(run.ledger.num_rows, len(list(run.ledger.to_pandas().reason)))
        self.assertTrue(run._repr_svg_().startswith("<svg"))
        self.assertEqual(run.chart.svg, run._repr_svg_())
        self.assertIn("<iframe", run.report._repr_html_())
        self.assertTrue(run.report.html.lower().startswith("<!doctype html>"))

    def test_tables_are_handed_over_without_a_copy(self):
        import polars
        import pyarrow

        table = setband.run(READING_ROOM).steps
        once, twice = pyarrow.table(table), pyarrow.table(table)
        place = lambda it: it.column("temperature").chunk(0).buffers()[1].address
        self.assertEqual(place(once), place(twice))
        self.assertEqual(once.column_names, table.column_names)
        frame = table.to_polars()
        self.assertIsInstance(frame, polars.DataFrame)
        self.assertEqual(frame["temperature"].to_arrow().buffers()[1].address, place(once))
        kept = pyarrow.chunked_array(table.to_pandas(arrow=True)["temperature"].array.__arrow_array__())
        self.assertEqual(kept.chunk(0).buffers()[1].address, place(once))
        panda = table.to_pandas()
        self.assertEqual(panda.temperature.tolist(), frame["temperature"].to_list())
        self.assertEqual(str(panda.time[0]), "2025-04-16 00:00:00")
        self.assertEqual(pyarrow.schema(table), once.schema)

    def test_tables_outlive_their_run(self):
        import gc

        import pyarrow

        arrow = pyarrow.table(setband.run(HALL).steps)
        gc.collect()
        self.assertGreater(arrow.column("temperature").to_pylist()[-1], 0)

    def test_comparisons_hold_variants_against_the_base(self):
        comparison = setband.compare(HALL)
        frame = comparison.table.to_pandas()
        row = frame[(frame.variant == "warmer") & (frame.figure == "heating_kwh")].iloc[0]
        self.assertEqual(row.base, setband.run(HALL).figures["heating_kwh"])
        self.assertEqual(row.difference, row.value - row.base)
        self.assertTrue(comparison._repr_svg_().startswith("<svg"))
        self.assertIn("warmer", comparison.report.html)
        self.assertIn("variants", comparison.summary)

    def test_findings_have_places(self):
        findings = setband.check(ROOT / "scenarios" / "saved_lock.yaml")
        lock = next(it for it in findings if it["code"] == "lock-not-in-force")
        self.assertGreater(lock["at"]["line"], 0)

    def test_sweeps_rank_settings(self):
        heard = []
        sweep = setband.sweep(
            HALL,
            {"zones.*.band": [2, 4, 6]},
            vary={"zones.*.controls.sensor.offset": "normal(0, 0.3)"},
            draws=4,
            progress=lambda done, of: heard.append((done, of)),
        )
        self.assertEqual(sweep.best, {"zones.*.band": "6"})
        self.assertEqual(len(sweep.cases), 12)
        self.assertEqual(heard[-1], (12, 12))
        self.assertIn("95 %", sweep.answer + json.dumps(sweep.summary))
        again = setband.sweep(
            HALL,
            {"zones.*.band": [2, 4, 6]},
            vary={"zones.*.controls.sensor.offset": "normal(0, 0.3)"},
            draws=4,
            threads=1,
        )
        self.assertEqual(again.summary, sweep.summary)
        self.assertTrue(sweep.cases.to_polars().equals(again.cases.to_polars()))

    def test_words_schema_and_starter(self):
        self.assertEqual(setband.explain("min_deadband")[0]["class"], "key of the scenario file")
        self.assertIn("properties", setband.schema())
        self.assertGreater(setband.run(setband.starter("F")).figures["total_kwh"], 0)


class Sites(unittest.TestCase):
    """A log that a run of ours left, so that the truth is known."""

    SITE = """
log: {file: days.csv, outdoor: out, electricity: watts, zones: {hall: {temperature: air, heat: h, cool: c, running: run}}}
zones:
  hall:
    space: {floor: 60 m2, opaque: 60 W/K}
    unit: {heating: 4 kW, control: staged}
    controls: {heat: 20, cool: 26, call_start: 0.5}
variants:
  warmer: {zones.hall.controls.heat: 22}
"""

    @classmethod
    def setUpClass(cls):
        built = "period: {from: 2025-01-14, days: 2, step: 5 min}\nweather: {design_day: {high: 5, range: 7}}\n" + (
            cls.SITE[cls.SITE.index("zones:\n") : cls.SITE.index("variants:")].replace("60 W/K", "90 W/K")
        )
        rows = setband.run(built).steps.to_pyarrow().to_pylist()
        cls.log = "time,out,watts,air,h,c,run\n" + "".join(
            f"{row['time']},{row['outdoor']:.2f},{row['electric_w']:.0f},{row['sensed']:.2f},"
            f"{row['heat']},{row['cool']},{row['served']}\n"
            for row in rows
        )
        cls.files = {"days.csv": cls.log}
        cls.fit = setband.fit(cls.SITE, files=cls.files, free=["loss"], draws=6)

    def test_a_fit_finds_the_room_that_the_log_is_of(self):
        numbers = self.fit.parameters.to_pyarrow().to_pylist()
        loss = next(it for it in numbers if it["key"] == "loss")
        self.assertTrue(loss["identifiable"])
        self.assertGreater(loss["value"], loss["before"] + 15)
        self.assertLess(loss["low"], loss["value"])
        self.assertLess(loss["value"], loss["high"])
        shown = self.fit.summary["zones"]["hall"]
        self.assertEqual(set(self.fit.headlines), {"hall"})
        self.assertEqual(shown["headline"], self.fit.headlines["hall"])
        self.assertEqual(len(self.fit.draws), 6)
        self.assertIn("zones.hall.space.opaque", self.fit.draws.column_names)
        steps = self.fit.steps.to_polars()
        self.assertLess((steps["measured"] - steps["modelled"]).abs().mean(), 1.0)
        self.assertIn("opaque", self.fit.scenario)
        self.assertNotIn("opaque: 60 W/K", self.fit.scenario)
        self.assertTrue(self.fit._repr_svg_().startswith("<svg"))
        self.assertEqual(list(self.fit.charts), ["hall"])
        self.assertTrue(all(it.svg.startswith("<svg") for it in self.fit.profiles.values()))
        self.assertTrue(self.fit.report.html.lower().startswith("<!doctype html>"))

    def test_a_replay_holds_variants_against_the_run_as_logged(self):
        heard = []
        replay = setband.replay(
            self.SITE,
            files=self.files,
            fitted=self.fit,
            progress=lambda done, of: heard.append((done, of)),
        )
        table = replay.table.to_pandas()
        used = table[table.figure == "electricity_kwh"].set_index("run")
        self.assertLess(abs(used.value["as_logged"] / used.value["measured"] - 1), 0.1)
        self.assertGreater(used.difference["warmer"], 0)
        self.assertTrue(used.low["warmer"] <= used.difference["warmer"] <= used.high["warmer"])
        self.assertEqual(heard[-1], (6, 6))
        self.assertEqual(replay.summary["draws"], 6)
        self.assertIn("kWh", replay.answer)
        steps = replay.steps.to_polars()
        self.assertEqual(set(steps["run"]), {"measured", "as_logged", "base", "warmer"})
        self.assertEqual(len(replay.electricity), len(steps))
        self.assertTrue(replay._repr_svg_().startswith("<svg"))
        self.assertIn("warmer", replay.report.html)

    def test_a_replay_takes_what_fit_wrote_beside_a_file(self):
        import csv
        import tempfile

        with tempfile.TemporaryDirectory() as folder:
            folder = pathlib.Path(folder)
            (folder / "days.csv").write_text(self.log)
            (folder / "site.yaml").write_text(self.SITE)
            (folder / "fitted.yaml").write_text(self.fit.scenario)
            draws = self.fit.draws.to_pyarrow()
            with open(folder / "draws.csv", "w", newline="") as file:
                writer = csv.writer(file)
                writer.writerow(draws.column_names)
                writer.writerows(it.values() for it in draws.to_pylist())
            site, fitted = folder / "site.yaml", folder / "fitted.yaml"
            replay = setband.replay(site, fitted=fitted, variants=["warmer"], draws=2, requests="none")
            self.assertEqual(replay.summary["draws"], 2)
            self.assertEqual(list(replay.summary["variants"]), ["base", "warmer"])
            followed = setband.replay(site, requests=site, draws=0, disturbance=False)
            self.assertEqual(list(followed.summary["variants"]), ["requests"])

    def test_logs_and_specifications_are_held_against_settings(self):
        audit = setband.audit(ROOT / "scenarios" / "net_loft.yaml")
        self.assertIn("contradiction", {it["severity"] for it in audit["findings"]})
        review = setband.review(ROOT / "scenarios" / "specified_surgery.yaml")
        self.assertEqual(review["holds"], all(it["verdict"] == "holds" for it in review["requirements"]))
        self.assertGreater(len(review["requirements"]), 2)

    def test_wrong_calls_say_what_would_be_right(self):
        for call, word in [
            (lambda: setband.fit(self.SITE, files=self.files, zone="hal"), "hall"),
            (lambda: setband.fit(self.SITE, files=self.files, free=["los"]), "loss"),
            (lambda: setband.fit(self.SITE, files=self.files, horizon=7), "24"),
            (lambda: setband.fit(HALL), "log"),
            (lambda: setband.replay(HALL), "log"),
            (lambda: setband.audit(HALL), "log"),
            (lambda: setband.replay(self.SITE, files=self.files, variants=["warmr"]), "warmer"),
            (lambda: setband.replay(self.SITE, files=self.files, requests=HALL), "log"),
        ]:
            with self.assertRaises(setband.ScenarioError) as caught:
                call()
            self.assertIn(word, str(caught.exception))


class LongRuns(unittest.TestCase):
    YEAR = HALL.replace("2025-04-16", "2025-01-01, days: 365")

    def test_no_lock_is_held_while_computing(self):
        turns = 0
        done = threading.Event()

        def compute():
            setband.run(self.YEAR)
            done.set()

        thread = threading.Thread(target=compute)
        thread.start()
        while not done.is_set():
            turns += 1
            time.sleep(0.001)
        thread.join()
        self.assertGreater(turns, 20)

    def test_progress_is_told_and_its_errors_end_the_run(self):
        heard = []
        setband.run(self.YEAR, progress=lambda done, of: heard.append(done))
        self.assertEqual(heard, sorted(heard))

        def enough(done, of):
            raise RuntimeError("enough")

        with self.assertRaisesRegex(RuntimeError, "enough"):
            setband.sweep(self.YEAR, {"zones.*.band": "0..6:0.5"}, draws=50, progress=enough)

    def test_comparisons_tell_their_progress_and_end_on_its_errors(self):
        heard = []
        setband.compare(self.YEAR, progress=lambda done, of: heard.append((done, of)))
        self.assertEqual([done for done, _ in heard], sorted(done for done, _ in heard))
        self.assertTrue(all(of == 100 for _, of in heard), heard)

        def enough(done, of):
            raise RuntimeError("enough")

        with self.assertRaisesRegex(RuntimeError, "enough"):
            setband.compare(self.YEAR, progress=enough)

    def test_ctrl_c_ends_a_sweep(self):
        code = (
            "import setband\n"
            f"year = {self.YEAR!r}\n"
            "print('begun', flush=True)\n"
            "try:\n"
            "    setband.sweep(year, {'zones.*.band': '0..8:0.5'}, draws=2000, threads=1)\n"
            "except KeyboardInterrupt:\n"
            "    print('ended')\n"
        )
        child = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
        self.assertEqual(child.stdout.readline(), "begun\n")
        time.sleep(1)
        child.send_signal(signal.SIGINT)
        said, _ = child.communicate(timeout=600)
        self.assertEqual(said, "ended\n")


class Installed(unittest.TestCase):
    def test_the_command_is_there(self):
        command = pathlib.Path(sys.executable).parent / "setband"
        shown = subprocess.run([command, "--version"], capture_output=True, text=True, check=True)
        self.assertEqual(shown.stdout.strip(), f"setband {setband.__version__}")

    def test_types_are_told_for_every_name(self):
        folder = pathlib.Path(setband.__file__).parent
        stubs = (folder / "__init__.pyi").read_text()
        self.assertTrue((folder / "py.typed").exists())
        for name in setband.__all__:
            self.assertRegex(stubs, rf"(class|def) {name}\b|{name}: ")
            if name != "__version__":
                self.assertTrue(getattr(setband, name).__doc__, name)
                for member in vars(getattr(setband, name)) if isinstance(getattr(setband, name), type) else ():
                    if not member.startswith("_") and name not in ("ScenarioError", "RunError"):
                        self.assertRegex(stubs, rf"def {member}\b", f"{name}.{member}")

    def test_examples_in_the_docs_hold(self):
        import doctest

        self.assertEqual(doctest.testmod(setband).failed, 0)


class Notebook(unittest.TestCase):
    def test_the_cells_of_the_tour_run(self):
        import nbclient
        import nbformat

        book = nbformat.read(ROOT / "src" / "python" / "tour.ipynb", as_version=4)
        nbclient.NotebookClient(book, timeout=120, resources={"metadata": {"path": ROOT}}).execute()
        shown = [
            kind
            for cell in book.cells
            for output in cell.get("outputs", [])
            for kind in output.get("data", {})
        ]
        self.assertIn("image/svg+xml", shown)
        self.assertIn("text/html", shown)


if __name__ == "__main__":
    os.chdir(ROOT)
    unittest.main()
