"""The example notebook, executed by Jupyter's own kernel against a real server with the invented plot."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import nbformat
import pytest
from werkzeug.serving import make_server

from tests.attacks.household import household
from underboard.cli.demo import fill
from underboard.exchange import demo
from underboard.exchange.demo import scenario_ops
from underboard.store import people
from underboard.web.services import utc_now

NOTEBOOK = Path(__file__).parents[1] / "deploy/docs/pages/notebook.ipynb"
RUN = """
import sys, nbformat
from nbclient import NotebookClient
notebook = nbformat.read(sys.argv[1], 4)
NotebookClient(notebook, timeout=180, startup_timeout=180, kernel_name="python3").execute()
nbformat.write(notebook, "executed.ipynb")
"""


def test_the_notebook_is_one_and_keeps_nobodys_results() -> None:
    notebook = nbformat.read(NOTEBOOK, 4)
    nbformat.validate(notebook)
    assert all(
        not cell.outputs and cell.execution_count is None for cell in notebook.cells if "outputs" in cell
    )


def lately(*asked: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    """The last hundred days of the invented plot: all that the notebook asks for, in a fraction of the time."""
    since = (utc_now() - timedelta(days=100)).isoformat()
    for device_id, op in scenario_ops(*asked):
        if op.get("set", {}).get("observed_at", since) >= since:
            yield device_id, op


@pytest.fixture(scope="module")
def executed(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path) -> Iterator[Path]:
    """The folder in which it ran, with what it left there."""
    folder = tmp_path_factory.mktemp("notebook")
    with household(tmp_path_factory.mktemp("notebook_server"), migrated_sqlite) as house:
        with house.app.app_context(), pytest.MonkeyPatch.context() as patched:
            patched.setattr(demo, "scenario_ops", lately)
            plot_id, _ = fill()
            code = people.new_code(plot_id, "owner", utc_now(), typed=True).code
        server = make_server("127.0.0.1", 0, house.app, threaded=True)
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        told = {"PLOT_SERVER": f"http://127.0.0.1:{server.port}", "PLOT_CODE": code}
        kernel = {"IPYTHONDIR": str(folder / "kernel"), "JUPYTER_RUNTIME_DIR": str(folder / "kernel")}
        try:
            done = subprocess.run(
                [sys.executable, "-c", RUN, str(NOTEBOOK)], cwd=folder, capture_output=True, text=True,
                timeout=240, env={**os.environ, **kernel, **told},
            )  # fmt: skip
        finally:
            server.shutdown()
            thread.join(10)
            server.server_close()
        assert done.returncode == 0, done.stderr[-3000:]
        yield folder


def test_every_cell_runs_against_a_real_server(executed: Path) -> None:
    notebook = nbformat.read(executed / "executed.ipynb", 4)
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert [cell.execution_count for cell in code] == list(range(1, len(code) + 1))
    shown = [out for cell in code for out in cell.outputs]
    assert sum("text/html" in out.get("data", {}) for out in shown) >= 5  # tables, as a notebook shows them
    assert any("95 % interval" in out.get("text", "") for out in shown)
    assert (executed / "week.pdf").read_bytes().startswith(b"%PDF-")
    assert (executed / "counts.zip").read_bytes().startswith(b"PK")


def test_what_pairing_bought_is_kept_for_its_owner_alone(executed: Path) -> None:
    keys = executed / "plot_keys.json"
    assert keys.stat().st_mode & 0o077 == 0
    assert set(json.loads(keys.read_text("utf-8"))) == {"url", "token", "plot_id"}
