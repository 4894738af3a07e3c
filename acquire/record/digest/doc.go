// Package digest knows what samples come to over longer and longer stretches of
// time, so that a window of hours need not be read sample by sample.
//
// Terms. The ticks of an epoch are divided into cells of one length, and cell k is
// [k*length, (k+1)*length): where a cell begins depends on the clock of the source
// alone, never on how samples were gathered. A level is a length: 10 ms, 100 ms, 1 s,
// 10 s, 100 s. A digest holds, for each channel, the cells in which there are
// samples; where nothing was measured there is no cell. Two digests of other samples
// of the same cells are merged, and give the same as one digest of all of them.
//
// Lowest and highest are those of the samples, exactly. The sums of voltage, current
// and their product are sums of codes, as integers of 64 bits, which wrap around: so
// they are the same in whatever order they are made. Nothing is summed of slow
// channels, whose values are floating.
//
// A break is a sample that does not follow the one before it: no line may join them.
// A cell counts those of its samples that are one.
//
// The file FORMAT.md of package record says byte for byte how a digest is packed.
package digest
