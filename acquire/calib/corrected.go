package calib

// Corrected joins the line of a channel with that of the calibration that holds
// for it at a place of a record, the later in the list where there are several:
//
//	corrected = code*(scale*gain) + (offset*gain + calibration offset)
func Corrected(all []Timed, channel string, epoch int, tick int64, scale, offset float64) (float64, float64) {
	a, b := scale, offset
	for k := range all {
		if c := &all[k]; c.Channel == channel && c.Gain != 0 && c.HoldsAt(epoch, tick) {
			a, b = scale*c.Gain, offset*c.Gain+c.Offset
		}
	}
	return a, b
}
