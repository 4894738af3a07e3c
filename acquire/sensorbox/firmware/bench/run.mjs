// Runs the firmware on an emulated ATmega328P. What its UART sends goes to standard output, what comes on
// standard input goes to its UART. The one argument is a file of JSON:
//
//   hex        what was built
//   eeprom     a file that keeps the EEPROM from run to run; made where it is missing
//   signal     pairs of float32, the volts on inputs 0 and 1 each 10 us; between them a straight line
//   third      volts on input 2, and thirdRise by how many they rise in a second
//   pins       [us, pin of port D, level] in the order of time; before them all are high
//   resets     us at which the reset is pulled
//   stalls     us from which one conversion of the third input takes a millisecond more
//   said       bytes that the host says before all begins; 50 ms pass on the line behind each zero
//   until      us at which all ends
//   report     the file into which goes what the emulator saw
import { readFileSync, writeFileSync, existsSync } from 'node:fs';
import { once } from 'node:events';
import { setImmediate } from 'node:timers/promises';
import {
  CPU, avrInstruction, AVRADC, adcConfig, AVREEPROM, EEPROMMemoryBackend, AVRIOPort, portDConfig,
  AVRTimer, timer1Config, AVRUSART, usart0Config,
} from 'avr8js';

const perUS = 16; // clocks of the processor
const flash = 32 << 10, registers = 0x100, memory = 2 << 10, eepromSize = 1 << 10;
const untouched = 0x5a; // memory as the power leaves it: anything
const received = 0x80; // in UCSRA: a byte has come that was not read
const pauseUS = 50000;
const pointUS = 10; // between two points of the signal

const asked = JSON.parse(readFileSync(process.argv[2], 'utf8'));
const bytes = readFileSync(asked.signal);
const signal = new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength));
const eeprom = new EEPROMMemoryBackend(eepromSize);
if (existsSync(asked.eeprom)) eeprom.memory.set(readFileSync(asked.eeprom));
const seen = { zeros: [], taken: [], thirds: [], pingEnds: [], eepromWrites: 0, sent: 0, baud: 0, free: 0 };
const writeMemory = eeprom.writeMemory.bind(eeprom);
eeprom.writeMemory = (address, value) => { seen.eepromWrites++; writeMemory(address, value); };

// program reads an Intel HEX file.
function program(text) {
  const image = new Uint8Array(flash);
  for (const line of text.split('\n')) {
    const record = Buffer.from(line.trim().slice(1), 'hex');
    if (record.length > 4 && record[3] === 0) image.set(record.subarray(4, 4 + record[0]), record.readUInt16BE(1));
  }
  return new Uint16Array(image.buffer);
}

// at is the volts on an input at a time in clocks; the ends of the signal last.
function at(input, clocks) {
  const place = Math.min(clocks / perUS / pointUS, signal.length / 2 - 1), k = Math.floor(place);
  const here = signal[2 * k + input], next = signal[2 * Math.min(k + 1, signal.length / 2 - 1) + input];
  return here + (next - here) * (place - k);
}

const out = []; // bytes that are through the line

// start is a reset: a new processor, whose clock goes on where that of the one before it stood.
function start(code, clocks) {
  const cpu = new CPU(code, memory);
  cpu.cycles = clocks;
  cpu.data.fill(untouched, registers);
  const port = new AVRIOPort(cpu, portDConfig), uart = new AVRUSART(cpu, usart0Config, 16e6);
  const converter = new AVRADC(cpu, adcConfig);
  new AVRTimer(cpu, timer1Config);
  const setGoing = cpu.writeHooks[timer1Config.TCCRB];
  cpu.writeHooks[timer1Config.TCCRB] = (...write) => { seen.zeros.push(cpu.cycles / perUS); return setGoing(...write); };
  new AVREEPROM(cpu, eeprom);
  // The converter holds its input one and a half of its clocks after the start, and rounds.
  converter.onADCRead = ({ channel }) => {
    const held = cpu.cycles + 1.5 * converter.prescaler;
    const volts = channel === 2 ? asked.third + asked.thirdRise * held / perUS / 1e6 : at(channel, held);
    const value = Math.max(0, Math.min(1023, Math.round(volts / converter.referenceVoltage * 1024)));
    if (channel !== 2) seen.taken.push({ at: held / perUS, input: channel });
    else seen.thirds.push(cpu.cycles / perUS);
    const stalls = channel === 2 && stall < asked.stalls.length && cpu.cycles > asked.stalls[stall] * perUS;
    if (stalls) stall++;
    cpu.addClockEvent(() => converter.completeADCRead(value), converter.sampleCycles + (stalls ? 1000 * perUS : 0));
  };
  // The emulator forgets a byte that has come whenever UCSRB is written; the chip does not.
  const control = cpu.writeHooks[usart0Config.UCSRB];
  cpu.writeHooks[usart0Config.UCSRB] = (...write) => {
    const waits = cpu.data[usart0Config.UCSRA] & received;
    control(...write);
    if (waits) cpu.setInterruptFlag(uart.RXC);
    return true;
  };
  // A byte that a reset cuts short does not arrive.
  uart.onByteTransmit = (byte) => {
    seen.baud = uart.baudRate;
    cpu.addClockEvent(() => out.push(byte), uart.cyclesPerChar);
  };
  uart.onRxComplete = () => { if (uart.rxByte === 0) seen.pingEnds.push(cpu.cycles / perUS); };
  return { cpu, port, uart };
}

let quiet = 0; // clocks until which the host says nothing
const heard = []; // bytes on their way to the box
process.stdin.on('data', (some) => heard.push(...some));

const code = program(readFileSync(asked.hex, 'utf8'));
const pins = asked.pins, resets = asked.resets, levels = new Array(8).fill(true);
let pin = 0, reset = 0, stall = 0, box = start(code, 0);
levels.forEach((level, k) => box.port.setPin(k, level));

// step runs to a time in clocks.
function step(until) {
  let { cpu } = box;
  const event = () => Math.min(pin < pins.length ? pins[pin][0] : Infinity, reset < resets.length ? resets[reset] : Infinity) * perUS;
  let next = event();
  while (cpu.cycles < until) {
    avrInstruction(cpu);
    cpu.tick();
    // The chip keeps two bytes until they are read, the emulator one: the host waits for it.
    if (heard.length && cpu.cycles > quiet && !(cpu.data[usart0Config.UCSRA] & received) && box.uart.writeByte(heard[0])) {
      if (heard.shift() === 0) quiet = cpu.cycles + pauseUS * perUS;
    }
    while (cpu.cycles >= next) {
      if (reset < resets.length && resets[reset] * perUS <= cpu.cycles) {
        reset++;
        box = start(code, cpu.cycles);
        cpu = box.cpu;
        levels.forEach((level, k) => box.port.setPin(k, level));
      } else {
        const [, which, level] = pins[pin++];
        levels[which] = level > 0;
        box.port.setPin(which, levels[which]);
      }
      next = event();
    }
  }
}

while (heard.length < asked.said) await once(process.stdin, 'data');
for (let clocks = 0, end = asked.until * perUS; clocks < end;) {
  clocks = Math.min(clocks + 1000 * perUS, end);
  step(clocks);
  if (out.length && clocks % (10000 * perUS) === 0 || clocks === end) {
    seen.sent += out.length;
    if (!process.stdout.write(Buffer.from(out.splice(0)))) await once(process.stdout, 'drain');
    await setImmediate();
  }
}
let run = 0;
for (const byte of box.cpu.data.subarray(registers)) {
  run = byte === untouched ? run + 1 : 0;
  seen.free = Math.max(seen.free, run);
}
writeFileSync(asked.eeprom, eeprom.memory);
writeFileSync(asked.report, JSON.stringify(seen));
process.stdin.destroy();
