"""A Modbus RTU slave by pymodbus, for peer_test.go: the same as slave.c.

Usage: slave.py DEVICE UNIT
"""
import struct
import sys

from pymodbus.constants import Endian
from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.payload import BinaryPayloadBuilder
from pymodbus.server import StartSerialServer
from pymodbus.transaction import ModbusRtuFramer


def state(k):
    packed = struct.pack(
        ">HHIQIQQQIIfffHH",
        0x0101, 77, 65000 + k, 13157 * k, (4294967000 + 131 * k) % 2**32,
        65000 * k + k * k, 263140 * k + 3 * k, 2631400 * k + k * k,
        13157 * k // 1000, (4294967290 + 11 * k) % 2**32, 0, 0, 0, 0, (65000 + k) % 2**16,
    )
    return list(struct.unpack(">34H", packed))


class BlockMap(ModbusSequentialDataBlock):
    """Moves on with every request that reads it."""

    k = 0

    def getValues(self, address, count=1):
        self.values = state(self.k)
        self.k += 1
        return super().getValues(address, count)


def floats(wordorder):
    builder = BinaryPayloadBuilder(byteorder=Endian.Big, wordorder=wordorder)
    builder.add_32bit_float(24.75)
    builder.add_32bit_float(210.5)
    return builder.to_registers()


holding = floats(Endian.Big) + [0] * 6 + floats(Endian.Little)
slave = ModbusSlaveContext(ir=BlockMap(0, [0] * 34), hr=ModbusSequentialDataBlock(0, holding), zero_mode=True)
print("ready", flush=True)
StartSerialServer(
    context=ModbusServerContext(slaves={int(sys.argv[2]): slave}, single=False),
    framer=ModbusRtuFramer, port=sys.argv[1], baudrate=115200, bytesize=8, parity="N", stopbits=1,
)
