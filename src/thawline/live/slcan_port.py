"""A serial adapter's port: opened by python-can, closed to all but a few commands.

The commands [1]_: ``C`` closes the channel, ``S0`` … ``S9`` set the bit rate, ``L`` opens it
listening only, ``O`` opens it as a node that acknowledges. The answer is a carriage return, or a
bell (0x07) for an error.

References
----------
.. [1] Lawicel AB, *CANUSB Manual*, chapter on ASCII commands (from memory).
"""

from __future__ import annotations

import contextlib
import re
import time

import can
from can.interfaces.slcan import slcanBus

from thawline.errors import RequestError
from thawline.live.bus_spec import BusSpec
from thawline.live.listener import refuse

#: All that may ever be written to an adapter.
COMMANDS = re.compile(r"C|L|O|S[0-9]")
#: Time to wait for the first byte [s].
WAIT_S = 0.1
#: Adapters that restart when their port is opened answer within this time [s].
SETTLE_S = 2.5
#: An adapter answers a command within this time [s].
ANSWER_S = 0.5
OK, BELL = b"\r", b"\a"


class ListeningPort(slcanBus):
    """A serial adapter that is listened through.

    Parameters
    ----------
    spec : BusSpec
        The bus; its channel is a serial port, ``@`` and the port's own rate may follow.
    insist : bool
        Whether an adapter without a listen-only mode is opened all the same.

    Raises
    ------
    RequestError
        If the adapter refuses the bit rate, or has no listen-only mode.
    can.CanError, OSError
        If the port cannot be opened.
    """

    def __init__(self, spec: BusSpec, insist: bool) -> None:
        self._spec, self._insist = spec, insist
        #: What came behind the last answer.
        self.rest = b""
        #: How the adapter listens, in plain words.
        self.told = ""
        if spec.bitrate not in self._BITRATES:
            rates = ", ".join(str(rate) for rate in sorted(self._BITRATES))
            raise RequestError(
                f"--bitrate (={spec.bitrate}) must be one that serial adapters know",
                cure=f"choose one of {rates}",
            )
        self._is_shutdown = True  # nothing to be shut down if the port cannot be opened
        super().__init__(spec.channel, sleep_after_open=0.0, listen_only=True)
        self.serialPortOrig.timeout = WAIT_S
        try:
            self._listen()
        except BaseException:
            self.serialPortOrig.close()
            raise
        self._is_shutdown = False

    def open(self) -> None:
        """Do nothing: the channel is opened when the adapter has been heard."""

    def _write(self, string: str) -> None:
        """Write a command; nothing else passes."""
        if not COMMANDS.fullmatch(string) or (string == "O" and not self._insist):
            raise can.CanOperationError(f"{string!r} is never written: Thawline listens only")
        super()._write(string)

    def send(self, msg: can.Message, timeout: float | None = None) -> None:  # noqa: ARG002 # the base class has it
        """Refuse to send.

        Parameters
        ----------
        msg : can.Message
            A frame.
        timeout : float, optional
            Unused [s].

        Raises
        ------
        can.CanOperationError
            Always.
        """
        raise can.CanOperationError("Thawline listens only")

    def shutdown(self) -> None:
        """Close the channel and let the port go, also of an adapter that is gone."""
        with contextlib.suppress(can.CanError, OSError):
            super().shutdown()
        self._is_shutdown = True
        self.serialPortOrig.close()

    def _listen(self) -> None:
        """Close the channel, set the bit rate, open it listening only; hear every answer."""
        speaks = self._settle()
        if self._ask(self._BITRATES[self._spec.bitrate]) is False:
            raise RequestError(
                f"the adapter at {self._spec.channel} refuses {self._spec.bitrate} bit/s",
                cure="choose the bus's rate with --bitrate, or plug the adapter in anew",
            )
        answer = self._ask("L")
        if answer:
            self.told = "listens only (mode L)"
        elif answer is None and not speaks:
            self.told = "told to listen only (mode L), but it answers no command"
        elif not self._insist:
            raise refuse(
                f"the adapter at {self._spec.channel}",
                "it refuses to listen only (command L)",
                "use an adapter with a listen-only mode",
            )
        elif self._ask("O") is False:
            raise RequestError(
                f"the adapter at {self._spec.channel} refuses to open its channel",
                cure="plug it in anew",
            )
        else:
            self.told = "acknowledges frames (mode O), as you insisted"

    def _settle(self) -> bool:
        """Close the channel, again until the adapter has started; tell whether it answers."""
        until = time.monotonic() + SETTLE_S
        while time.monotonic() < until:
            if self._ask("C") is not None:
                return True
        return False

    def _ask(self, command: str) -> bool | None:
        """Write a command; True if it is answered well, False if not, None if not at all."""
        self._write(command)
        heard, until = b"", time.monotonic() + ANSWER_S
        self.rest = b""
        while time.monotonic() < until:
            heard += self.serialPortOrig.read(max(1, self.serialPortOrig.in_waiting))
            while heard:
                ok, bell = heard.find(OK), heard.find(BELL)
                if bell >= 0 and (ok < 0 or bell < ok):
                    self.rest = heard[bell + 1 :]
                    return False
                if ok < 0:
                    break
                piece, heard = heard[:ok], heard[ok + 1 :]
                if not piece:
                    self.rest = heard
                    return True
        return None
