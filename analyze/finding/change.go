package finding

// reading is the value of a channel, and the short time that it stands for.
type reading struct {
	start, end int64   // ticks
	weight     float64 // ns of arc time
	mean       float64
	turns      float64 // at start
}

// change returns the index of the first reading, of one at least and each with a weight,
// after the one step that explains the most: the split of x into two means with the least sum of
// squares about them, which is the one with the greatest
//
//	w1*w2/(w1+w2) * (mean1-mean2)^2
//
// with the weights w on either side. Source: binary segmentation, Scott and
// Knott 1974; standing: memory, checked against a constructed step.
func change(x []reading) int {
	total, weight := 0.0, 0.0
	for _, r := range x {
		total += r.mean * r.weight
		weight += r.weight
	}
	best, at := 0.0, 0
	sum, w := 0.0, 0.0
	for k := range x[1:] {
		sum += x[k].mean * x[k].weight
		w += x[k].weight
		rest := weight - w
		d := sum/w - (total-sum)/rest
		if gain := w * rest / weight * d * d; gain > best {
			best, at = gain, k+1
		}
	}
	return at
}
