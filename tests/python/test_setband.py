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
        said, _ = child.communicate(timeout=120)
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
