// What differs from box to box: change it here, build, flash.
#define NAME "arc box"
#define SERIAL "0001" // a calibration belongs to it: no two boxes may have the same

// SAMPLES sends each sample, and wants 500000 baud: at less, some are lost, and flagged. SUMS sends sums over windows,
// and is content with 115200.
#define MODE SAMPLES
#define BAUD 500000
#define PER_WINDOW 32 // samples in a frame: of SAMPLES at most 122, of SUMS better 100 to 250
#define WINDOWS 5     // one is filled while the others may wait; all lie in the 2 kB of memory

// The front end: what 0 V at the converter stands for, and one of its 1024 codes. Both filters are alike.
#define VOLTS_AT_0 -20.0
#define VOLTS_PER_CODE (150.0 / 1024)
#define VOLTAGE_TAP "torch" // where it is taken: torch, feeder or source
#define AMPERES_AT_0 -625.0
#define AMPERES_PER_CODE (1250.0 / 1024)
#define BANDWIDTH_HZ 2500.0
#define ARC_AMPERES 15.0 // from here on SUMS counts a sample as arc

// The third input is slow: gas_flow in L/min, or temperature in degC; 0.0 per code where none is fitted.
#define THIRD_NAME "gas_flow"
#define THIRD_UNIT "L/min"
#define THIRD_AT_0 0.0
#define THIRD_PER_CODE (25.0 / 1024)

// The torch. With direction, both edges of A count, up or down by the level of B. Without, each closing of a switch
// at A counts up, whichever way it turns; where that is once a turn, the switch is the reference mark.
#define TURN_HAS_DIRECTION 1
#define TURN_FORWARD 1 // -1 where clockwise, seen from the torch side, counts down
#define COUNTS_PER_TURN 3600   // 0 where nothing counts
#define WIRE_M_PER_COUNT 0.001 // of each pulse of the wire's wheel; 0.0 where none is fitted
#define CLOCK_PPM 50.0         // how far the crystal may be off
