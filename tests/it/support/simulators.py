"""Instruments for tests, behind two public simulators: sinstruments serves them on a socket and a serial line, PyVISA-sim
answers for the mock supply that comes with it. Prints where each is reached, a line for each; ends with its input."""

import sys
import tempfile

import gevent
import pyvisa
from gevent.fileobject import FileObject
from sinstruments.simulator import BaseDevice, Server


class Mock(BaseDevice):
    """The mock supply of PyVISA-sim as it comes, its language and its replies."""

    def __init__(self, name, **properties):
        super().__init__(name, **properties)
        self.inside = pyvisa.ResourceManager("@sim").open_resource("ASRL2::INSTR")
        self.inside.write_termination, self.inside.read_termination = "\r\n", "\n"

    def handle_message(self, message):
        text = message.decode().strip()
        if not text.endswith("?"):
            self.inside.write(text)
            return None
        return self.inside.query(text).encode() + b"\n"


class Supply(BaseDevice):
    """A supply with one output over 100 ohm. Invented."""

    OHMS = 100.0

    def __init__(self, name, **properties):
        super().__init__(name, **properties)
        self.on = False
        self.set = {"VOLT": 0.0, "CURR": 0.1, "VOLT:PROT": 33.0, "CURR:PROT": 1.1}

    def handle_message(self, message):
        replies = [self.one(part.strip()) for part in message.decode().split(";:")]
        replies = [reply for reply in replies if reply is not None]
        return ";".join(replies).encode() + b"\r\n" if replies else None

    def one(self, text):
        volts = min(self.set["VOLT"], self.set["CURR"] * self.OHMS) if self.on else 0.0
        if text in ("OUTP ON", "OUTP OFF"):
            self.on = text == "OUTP ON"
            return None
        if text.endswith("?"):
            fixed = {
                "*IDN?": "Tallow & Pike (invented),Wren,7,1.0",
                "SYST:ERR?": '+0,"No error"',
                "OUTP?": str(int(self.on)),
                "MEAS:VOLT?": f"{volts:+.5E}",
                "MEAS:CURR?": f"{volts / self.OHMS:+.5E}",
            }
            return fixed.get(text) or f"{self.set[text[:-1]]:+.4E}"
        name, _, value = text.partition(" ")
        if name in self.set:
            self.set[name] = float(value)
        return None


folder = tempfile.mkdtemp()
devices = [
    {
        "name": name,
        "package": "__main__",
        "class": kind,
        "transports": [
            {"type": "tcp", "url": ["127.0.0.1", 0]},
            {"type": "serial", "url": f"{folder}/{name}", "baudrate": 115200},
        ],
    }
    for name, kind in [("mock", "Mock"), ("supply", "Supply")]
]
server = Server(devices=devices)
server.start()
gevent.sleep(0.1)
for name, device in server.devices.items():
    tcp, serial = device.transports
    print(name, f"tcp://127.0.0.1:{tcp.server_port}", f"serial://{serial.original_address}?baud=115200", flush=True)
FileObject(sys.stdin).read()
