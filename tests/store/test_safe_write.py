"""Files are replaced wholly or not at all: full disks, links, modes, locks."""

import datetime as dt
import errno
import os
import stat
import subprocess
import sys
import textwrap

import pytest
from filelock import FileLock

from kit import safe_write
from kit.errors import SaveError

TODAY = dt.date(2026, 3, 1)
posix = pytest.mark.skipif(os.name != "posix", reason="modes and links as on POSIX")


@pytest.fixture
def log(tmp_path):
    path = tmp_path / "tests.csv"
    path.write_bytes(b"date,nitrate\n2026-01-01,20\n")
    return path


@pytest.fixture
def no_sync(monkeypatch):
    """Leave out the waiting for the disk where thousands of saves are made."""
    monkeypatch.setattr(safe_write.os, "fsync", lambda handle: None)


def test_replace_puts_the_new_bytes_in_place(log):
    safe_write.replace(log, b"new")
    assert log.read_bytes() == b"new"
    assert [p.name for p in log.parent.iterdir()] == ["tests.csv"]


def test_the_data_is_forced_out_before_the_rename(log, monkeypatch):
    order = []
    fsync, rename = os.fsync, safe_write._rename
    monkeypatch.setattr(
        safe_write.os, "fsync", lambda h: (order.append("fsync"), fsync(h))[1]
    )
    monkeypatch.setattr(
        safe_write, "_rename", lambda a, b: (order.append("rename"), rename(a, b))[1]
    )
    safe_write.replace(log, b"new")
    assert order[:2] == ["fsync", "rename"]


def test_disk_full_at_every_byte_leaves_the_file(log, monkeypatch, no_sync):
    original = log.read_bytes()
    data = bytes(range(256)) * 8  # 2,048 bytes
    real_write = os.write

    for room in range(len(data)):
        left = room

        def write(handle, chunk):
            nonlocal left
            if not left:
                raise OSError(errno.ENOSPC, "No space left on device")
            done = real_write(handle, bytes(chunk[:left]))
            left -= done
            return done

        monkeypatch.setattr(safe_write.os, "write", write)
        with pytest.raises(SaveError, match="Disk full: nothing was changed"):
            safe_write.replace(log, data)
        assert log.read_bytes() == original
    assert [p.name for p in log.parent.iterdir()] == ["tests.csv"]
    monkeypatch.setattr(safe_write.os, "write", real_write)
    safe_write.replace(log, data)
    assert log.read_bytes() == data


@pytest.mark.parametrize("call", ["fsync", "open", "close"])
def test_a_fault_in_any_step_leaves_the_file(log, monkeypatch, call):
    original = log.read_bytes()
    real = getattr(os, call)

    def fail(*arguments, **options):
        if call == "close":
            real(*arguments)
        raise OSError(errno.EIO, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(safe_write.os, call, fail)
        with pytest.raises(
            SaveError, match=r"could not be saved \(input/output error\)"
        ):
            safe_write.replace(log, b"new")
    assert log.read_bytes() == original
    assert [p.name for p in log.parent.iterdir()] == ["tests.csv"]


@posix
def test_a_real_limit_on_file_size_leaves_the_file(log):
    code = """
        import resource, signal, sys
        from pathlib import Path
        from kit import safe_write
        from kit.errors import SaveError
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
        try:
            safe_write.replace(Path(sys.argv[1]), b"x" * 2000)
        except SaveError as fault:
            print(fault)
    """
    run = [sys.executable, "-c", textwrap.dedent(code), str(log)]
    done = subprocess.run(run, capture_output=True, text=True, timeout=60)
    assert done.stdout.startswith("Disk full: nothing was changed"), done.stderr
    assert log.read_bytes().startswith(b"date,nitrate\n2026")
    assert len(list(log.parent.iterdir())) == 1


@posix
def test_the_mode_is_kept(log):
    for mode in (0o640, 0o664, 0o600):
        log.chmod(mode)
        safe_write.replace(log, b"new")
        assert stat.S_IMODE(log.stat().st_mode) == mode


@posix
def test_a_link_is_followed_and_stays_a_link(log, tmp_path):
    link = tmp_path / "link.csv"
    link.symlink_to(log.name)
    target = safe_write.writable_target(link)
    assert target == log.resolve()
    safe_write.replace(target, b"new")
    assert link.is_symlink()
    assert log.read_bytes() == b"new"


@posix
def test_links_in_a_circle_and_to_nowhere(tmp_path):
    circle, nowhere = tmp_path / "a.csv", tmp_path / "b.csv"
    circle.symlink_to("a.csv")
    nowhere.symlink_to("missing.csv")
    for path in (circle, nowhere, tmp_path / "none.csv"):
        with pytest.raises(SaveError, match="is not there"):
            safe_write.writable_target(path)


def test_a_folder_is_not_a_file(tmp_path):
    with pytest.raises(SaveError, match="is not a file"):
        safe_write.writable_target(tmp_path)


def _as_nobody(code, *arguments):
    """Run code as an ordinary user: to root no file is read-only."""
    drop = "import os; os.setgid(65534); os.setuid(65534)\n"
    imports = "import sys; from pathlib import Path; from kit import safe_write\n"
    run = [sys.executable, "-c", imports + drop + textwrap.dedent(code), *arguments]
    return subprocess.run(run, capture_output=True, text=True, timeout=60)


@posix
@pytest.mark.skipif(
    os.name != "posix" or os.geteuid() != 0, reason="only root can become nobody"
)
def test_read_only_file_and_folder_for_an_ordinary_user(log, tmp_path):
    for folder in (tmp_path, *tmp_path.parents):
        if folder.stat().st_uid == 0 and not folder.stat().st_mode & stat.S_IXOTH:
            folder.chmod(folder.stat().st_mode | stat.S_IXOTH | stat.S_IROTH)
    code = """
        try:
            real = safe_write.writable_target(Path(sys.argv[1]))
            with safe_write.locked(real):
                safe_write.replace(real, b"new")
            print("saved")
        except Exception as fault:
            print(type(fault).__name__, fault)
    """
    original = log.read_bytes()
    os.chown(tmp_path, 65534, 65534)
    os.chown(log, 65534, 65534)
    log.chmod(0o444)
    said = _as_nobody(code, str(log)).stdout
    assert said.startswith("SaveError tests.csv is read-only; nothing was changed")
    assert stat.S_IMODE(log.stat().st_mode) == 0o444
    log.chmod(0o644)
    tmp_path.chmod(0o555)
    said = _as_nobody(code, str(log)).stdout
    assert said.startswith("SaveError The folder of tests.csv is read-only")
    assert log.read_bytes() == original
    tmp_path.chmod(0o755)
    assert _as_nobody(code, str(log)).stdout == "saved\n"
    assert log.read_bytes() == b"new"


def test_a_lock_held_elsewhere_is_named(log):
    match = r"delete tests\.csv\.lock"
    with (
        FileLock(log.with_name("tests.csv.lock")),
        pytest.raises(SaveError, match=match),
        safe_write.locked(log, 0.05),
    ):
        pytest.fail("the lock was not free")


def test_the_wait_for_a_lock_is_at_most_ten_seconds():
    assert 1 <= safe_write.LOCK_SECONDS <= 10


def test_the_lock_is_free_again_after_a_fault(log):
    with pytest.raises(ValueError, match="inside"), safe_write.locked(log):
        raise ValueError("inside")
    with safe_write.locked(log, 0.05):
        pass


def test_leftovers_are_swept_and_nothing_else(log):
    folder = log.parent
    (folder / "backups").mkdir()
    mine = [
        folder / ".tests.csv.77-ab.saving",
        folder / "backups/.tests.csv.1-c.saving",
    ]
    others = [folder / ".feedings.csv.77-ab.saving", folder / "tests.csv.saving"]
    for path in (*mine, *others):
        path.write_bytes(b"half")
    with safe_write.locked(log):
        assert not any(path.exists() for path in mine)
    assert all(path.exists() for path in others)


def test_one_backup_a_day_and_five_days_are_kept(log):
    keep = log.parent / "backups" / "tests.old.csv"
    for day in range(8):
        today = TODAY + dt.timedelta(days=day)
        before = log.read_bytes()
        kept = safe_write.back_up(log, today)
        assert kept.read_bytes() == before
        keep.write_bytes(b"the keeper's own")
        safe_write.replace(log, before + b"x")
        assert safe_write.back_up(log, today) is None
        assert kept.read_bytes() == before
    names = sorted(p.name for p in (log.parent / "backups").iterdir())
    days = [f"tests.2026-03-0{n}.csv" for n in range(4, 9)]
    assert names == [*days, "tests.old.csv"]


def test_a_file_held_open_is_tried_ten_times(log, monkeypatch):
    tries, waits = [], []

    def refuse(self, goal):
        tries.append(goal)
        raise PermissionError(errno.EACCES, "in use")

    monkeypatch.setattr(safe_write.Path, "replace", refuse)
    monkeypatch.setattr(safe_write.time, "sleep", waits.append)
    with pytest.raises(safe_write.HeldOpen, match="open in another program"):
        safe_write.replace(log, b"new")
    assert len(tries) == 10
    assert waits == [0.05] * 9
    assert log.read_bytes().startswith(b"date")
    assert len(list(log.parent.iterdir())) == 1


def test_create_never_writes_over_a_file(log):
    with pytest.raises(SaveError, match="is there already"):
        safe_write.create(log, b"new")
    assert log.read_bytes().startswith(b"date")
    with pytest.raises(SaveError, match="is not there; make it first"):
        safe_write.create(log.parent / "none" / "tests.csv", b"new")
    safe_write.create(log.parent / "feedings.csv", b"new")
    assert (log.parent / "feedings.csv").read_bytes() == b"new"
