"""The state of an installation as sentences: what was looked at, what is wrong, and the next step."""

from __future__ import annotations

from tersum.documents.text import _
from tersum.errors import N_
from tersum.records.health import Health

_WELL = {
    "python": N_("Python {version}."),
    "data-folder": N_("Data folder {folder}."),
    "rights": N_("Files and folders are their owner's alone."),
    "space": N_("Free space: {free_mb} MB."),
    "device": N_("Device number: {device}"),
    "organisation": N_("Organisation {organisation}: its database is whole."),
    "clock": N_("Clock: {now}."),
    "zones": N_("Time zone data are there."),
}
# Trouble: the exit code of the command, what is wrong, the next step. A code once given is never used for another.
_TROUBLE = {
    "python-too-old": (20, N_("Python is {version}; {least} is needed."),
                       N_("Install Python {least} or newer and run make setup.")),
    "not-a-folder": (21, N_("The data folder {folder} is a file."),
                     N_("Move the file away, or set TERSUM_HOME to a folder.")),
    "folder-not-writable": (22, N_("The folder {folder} cannot be written."),
                            N_("Give its owner the right to write, or set TERSUM_HOME to another folder.")),
    "others-may-read": (23, N_("Other users may read {file} (files and folders like that: {count})."),
                        N_("Take their rights away: chmod -R go-rwx on the data folder.")),
    "wrong-owner": (24, N_("{file} belongs to another user (files and folders like that: {count})."),
                    N_("Run Tersum as the user who owns the data, or give the data to this user with chown.")),
    "little-space": (25, N_("Only {free_mb} MB are free; {least_mb} MB should be."),
                     N_("Make room on the disk of the data folder.")),
    "device-number-bad": (26, N_("The file {file} holds no device number."),
                          N_("Remove the file; a new number is made at the next use.")),
    "organisation-id-bad": (27, N_("The file {file} holds no organisation's number."),
                            N_("Restore the file from a backup.")),
    "database-missing": (28, N_("The database of {organisation} is missing: {file}."),
                         N_("Restore it from a backup.")),
    "database-damaged": (29, N_("The database of {organisation} is damaged: {file}."),
                         N_("Make a copy of the folder as it is, then restore a backup.")),
    "database-newer": (30, N_("The database of {organisation} was written by a newer version of Tersum."),
                       N_("Install that version; nothing was changed.")),
    "migration-half-done": (31, N_("The database of {organisation} has not all of its tables: an upgrade broke off, or "
                                   "part of it was removed."),
                            N_("Restore the backup made before the upgrade.")),
    "database-of-nobody": (32, N_("The database {file} belongs to no organisation that is known."),
                           N_("If a backup was restored without its .id file, restore that as well; if an organisation "
                              "was being made when the power failed, move the file away.")),
    "clock-wrong": (33, N_("The clock of this machine says {now}."), N_("Set date and time.")),
    "clock-behind": (34, N_("The clock of this machine says {now}, before the newest fact, {newest}."),
                     N_("Set date and time; until then new facts seem older than they are.")),
    "zones-missing": (35, N_("The time zone data are missing: there is no {zone}."),
                      N_("Install the package tzdata (make setup does).")),
}


def sentence(health: Health) -> str:
    """Return what was found as a sentence in the reader's language."""
    if health.trouble is None:
        text = _WELL[health.check]
        if health.check == "data-folder" and not health.parameters["there"]:
            text = N_("Data folder {folder}: not there yet, made at the first use.")
        if health.check == "device" and not health.parameters["device"]:
            text = N_("Device number: none yet, made at the first use.")
        if health.check == "rights" and not health.parameters["looked_at"]:
            text = N_("Who may read the files is not looked at on this system.")
    else:
        text = _TROUBLE[health.trouble][1]
    return _(text).format(**health.parameters)


def next_step(health: Health) -> str:
    """Return what to do about it; nothing if there is nothing to do."""
    return _(_TROUBLE[health.trouble][2]).format(**health.parameters) if health.trouble else ""


def exit_code(found: list[Health]) -> int:
    """Return the exit code of the first trouble, 0 if there is none."""
    return next((_TROUBLE[one.trouble][0] for one in found if one.trouble), 0)


def exit_codes() -> dict[str, int]:
    """Return the exit code of every trouble."""
    return {name: code for name, (code, _what, _next) in _TROUBLE.items()}
