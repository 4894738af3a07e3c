package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
	"arctally/report/text"
)

func mapCommand() command {
	return command{
		name:     "map",
		operands: "RECORD",
		summary:  "shows the wall unrolled, angle by depth, and whether it will clean up",
		example:  "arctally map boom-pin.arctally --of heat",
		setUp:    mapAction,
	}
}

func mapAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	options.bindUnits(flags)
	var of layerFlag
	flags.Var(&of, "of", "show this `LAYER` of the map: "+layerNames()+"; left out, stock")
	eccentricity := lengthFlag(bore.DefaultEccentricity)
	flags.Var(&eccentricity, "eccentricity", "allow for a boring axis that stands `LENGTH` off the axis of the bore")
	asJSON := flags.Bool("json", false, `write JSON for programs: cells row by row with energy_j, arc_time_s, path_mm, arc_energy_kj_per_mm,
        heat_input_kj_per_mm, volume_mm3, height_mm, stock_mm, findings; what lies in no cell is "beyond"; the answer is "clean_up"`)
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		return options.with(ctx, screen, operands[0], func(r *review.Review) error {
			return files.Buffered(screen.Out, func(w io.Writer) error {
				if *asJSON {
					return r.Sheet().MapJSON(w, quantity.Metres(eccentricity))
				}
				return text.Map(w, r.Sheet(), of.layer(), options.units(&r.Sheet().Job), quantity.Metres(eccentricity))
			})
		})
	}
}

// layerFlag is the layer of the map that is asked for.
type layerFlag string

func layerNames() string {
	var names []string
	for _, layer := range sheet.MapLayers() {
		names = append(names, string(layer))
	}
	return strings.Join(names, ", ")
}

// String implements flag.Value.
func (f *layerFlag) String() string { return string(*f) }

// Set implements flag.Value.
func (f *layerFlag) Set(text string) error {
	if !slices.Contains(sheet.MapLayers(), sheet.MapLayer(text)) {
		return fmt.Errorf("there is no layer %s; choose from %s", text, layerNames())
	}
	*f = layerFlag(text)
	return nil
}

func (f *layerFlag) layer() sheet.MapLayer {
	if *f == "" {
		return sheet.StockLayer
	}
	return sheet.MapLayer(*f)
}

// lengthFlag is a length with its unit, not negative.
type lengthFlag quantity.Metres

// String implements flag.Value.
func (f *lengthFlag) String() string { return quantity.Text(quantity.Metres(*f), "mm", -1) }

// Set implements flag.Value.
func (f *lengthFlag) Set(text string) error {
	length, err := quantity.Parse[quantity.Metres](text)
	if err == nil && length < 0 {
		err = fmt.Errorf("%s is negative", text)
	}
	*f = lengthFlag(length)
	return err
}
