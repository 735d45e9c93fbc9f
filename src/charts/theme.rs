//! Sizes, colours and marks that all charts share.
//!
//! In: nothing. Out: sizes in points of the picture, colours, and the marks that tell series and layers apart.
//! This module never draws and never sees a value.
//!
//! The colours are chosen by lightness first (two neighbours in a list differ in grey print too), then along blue,
//! amber and plum, which colour-blind readers can tell apart. Shape and hatching carry the meaning in any case.

use plotters::style::RGBColor;

/// Units of the drawing for one point of the picture: plotters rounds to whole units, and a quarter point is not seen.
pub(super) const FINENESS: f64 = 4.0;

/// Width of a chart, unless its runs need more.
pub(super) const WIDTH: f64 = 860.0;
/// Height of the area that holds the data.
pub(super) const PLOT_HEIGHT: f64 = 330.0;
/// Empty rim around everything.
pub(super) const MARGIN: f64 = 16.0;
/// Gap between neighbouring parts: axis and label, mark and name.
pub(super) const GAP: f64 = 6.0;
/// Height of a line of text, in units of its size.
pub(super) const LINE_HEIGHT: f64 = 1.3;
/// Width that one run needs so that its name stays legible.
pub(super) const RUN_WIDTH: f64 = 12.0;
/// Most runs that all have their name; beyond, names are thinned out.
pub(super) const MOST_RUN_NAMES: usize = 40;
/// Height of one row of effects.
pub(super) const ROW_HEIGHT: f64 = 26.0;

/// Size of the question.
pub(super) const TITLE_SIZE: f64 = 18.0;
/// Smallest size that a long question shrinks to.
pub(super) const SMALLEST_TITLE_SIZE: f64 = 14.0;
/// Size of axis labels and legends.
pub(super) const LABEL_SIZE: f64 = 14.0;
/// Smallest size that a long label shrinks to.
pub(super) const SMALLEST_LABEL_SIZE: f64 = 11.0;
/// Size of the numbers on an axis, of captions and of the labels of reference lines.
pub(super) const TICK_SIZE: f64 = 13.0;
/// Size of the names of runs and points.
pub(super) const NAME_SIZE: f64 = 11.0;

/// Longest name in characters; longer ones end in an ellipsis.
pub(super) const LONGEST_NAME: usize = 28;
/// Longest name in a legend.
pub(super) const LONGEST_LEGEND_NAME: usize = 60;
/// Longest explanation in a legend; a longer one moves below the chart.
pub(super) const LONGEST_EXPLANATION: usize = 85;
/// Widest label of a reference line before it is wrapped.
pub(super) const WIDEST_LINE_LABEL: f64 = 140.0;

/// Width of the lines of a grid.
pub(super) const GRID_STROKE: f64 = 0.75;
/// Width of axes, reference lines and outlines.
pub(super) const AXIS_STROKE: f64 = 1.0;
/// Width of uncertainty bars.
pub(super) const BAR_STROKE: f64 = 1.25;
/// Width of a fitted line.
pub(super) const CURVE_STROKE: f64 = 2.0;
/// Length of a dash of a reference line.
pub(super) const DASH: f64 = 9.0;
/// Gap between two dashes.
pub(super) const DASH_GAP: f64 = 4.0;
/// Distance of two hatch lines.
pub(super) const HATCH_DISTANCE: f64 = 5.0;

/// Radius of a mark that has room.
pub(super) const MARK_RADIUS: f64 = 4.25;

/// The paper.
pub(super) const PAPER: RGBColor = RGBColor(255, 255, 255);
/// Text.
pub(super) const INK: RGBColor = RGBColor(34, 38, 46);
/// Axes, outlines, captions.
pub(super) const SOFT_INK: RGBColor = RGBColor(92, 98, 110);
/// The first series, fitted lines, means and effects.
const FIRST_COLOUR: RGBColor = RGBColor(27, 59, 94);
/// Grid.
pub(super) const GRID: RGBColor = RGBColor(226, 229, 234);
/// Band of a fitted line.
pub(super) const BAND: RGBColor = RGBColor(214, 223, 233);
/// Single runs behind a mean.
pub(super) const QUIET_MARK: RGBColor = RGBColor(137, 156, 178);

/// A colour and a width to draw lines with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pen {
    pub(super) colour: RGBColor,
    pub(super) width: f64,
}

/// A pen of a colour and a width.
pub(super) const fn pen(colour: RGBColor, width: f64) -> Pen {
    Pen { colour, width }
}

/// Lines of a grid.
pub(super) const GRID_LINE: Pen = pen(GRID, GRID_STROKE);
/// Lines that part groups of runs or rows.
pub(super) const DIVIDER: Pen = pen(GRID, AXIS_STROKE);
/// Axes, reference lines and outlines.
pub(super) const AXIS_LINE: Pen = pen(SOFT_INK, AXIS_STROKE);
/// Lines across a region, and from a reference line to its label.
pub(super) const FINE_LINE: Pen = pen(SOFT_INK, GRID_STROKE);
/// Contour lines, and the line of no effect.
pub(super) const DARK_LINE: Pen = pen(INK, AXIS_STROKE);
/// Fitted lines.
pub(super) const CURVE: Pen = pen(FIRST_COLOUR, CURVE_STROKE);
/// Bars of a mean or an effect.
pub(super) const MEAN_BAR: Pen = pen(FIRST_COLOUR, BAR_STROKE);

/// The shape of a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    Circle,
    Square,
    Triangle,
    Diamond,
    Cross,
}

/// Whether a mark is full or shows the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Filling {
    Full,
    Open,
}

/// How the marks of one series look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct SeriesLook {
    pub(super) shape: Shape,
    pub(super) filling: Filling,
    pub(super) colour: RGBColor,
}

impl SeriesLook {
    const fn new(shape: Shape, filling: Filling, colour: RGBColor) -> SeriesLook {
        SeriesLook {
            shape,
            filling,
            colour,
        }
    }
}

const SERIES: [SeriesLook; 5] = [
    SeriesLook::new(Shape::Circle, Filling::Full, FIRST_COLOUR),
    SeriesLook::new(Shape::Square, Filling::Open, RGBColor(191, 120, 22)),
    SeriesLook::new(Shape::Triangle, Filling::Full, RGBColor(126, 60, 98)),
    SeriesLook::new(Shape::Diamond, Filling::Open, RGBColor(58, 128, 140)),
    SeriesLook::new(Shape::Cross, Filling::Full, RGBColor(84, 84, 90)),
];

/// Look of a mean or an effect, which no single run has.
pub(super) const MEAN: SeriesLook = SeriesLook::new(Shape::Diamond, Filling::Full, FIRST_COLOUR);

/// The same of one that does not meet what is asked.
pub(super) const OPEN_MEAN: SeriesLook =
    SeriesLook::new(Shape::Diamond, Filling::Open, FIRST_COLOUR);

/// Look of the series with this position; the list begins again after five.
pub(super) fn series_look(position: usize) -> SeriesLook {
    SERIES[position % SERIES.len()]
}

/// The lines across a layer or a region.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hatching {
    /// No lines: the outline alone of a layer, a tint of a region.
    Plain,
    /// Lines that rise to the right.
    Rising,
    /// Lines that fall to the right.
    Falling,
    /// Level lines.
    Level,
    /// Lines that rise and lines that fall.
    Crossed,
}

/// How one layer of a stack looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct LayerLook {
    pub(super) fill: RGBColor,
    pub(super) hatching: Hatching,
    pub(super) stroke: RGBColor,
}

impl LayerLook {
    const fn new(fill: RGBColor, hatching: Hatching, stroke: RGBColor) -> LayerLook {
        LayerLook {
            fill,
            hatching,
            stroke,
        }
    }
}

const LAYERS: [LayerLook; 6] = [
    LayerLook::new(RGBColor(33, 66, 102), Hatching::Plain, INK),
    LayerLook::new(RGBColor(150, 180, 208), Hatching::Plain, INK),
    LayerLook::new(
        RGBColor(250, 236, 209),
        Hatching::Rising,
        RGBColor(150, 88, 10),
    ),
    LayerLook::new(
        RGBColor(166, 110, 141),
        Hatching::Level,
        RGBColor(88, 34, 64),
    ),
    LayerLook::new(PAPER, Hatching::Plain, INK),
    LayerLook::new(RGBColor(228, 230, 234), Hatching::Crossed, SOFT_INK),
];

/// Look of the layer with this position; the list begins again after six, with its hatching turned.
pub(super) fn layer_look(position: usize) -> LayerLook {
    let look = LAYERS[position % LAYERS.len()];
    if position < LAYERS.len() {
        return look;
    }
    let hatching = match look.hatching {
        Hatching::Plain => Hatching::Falling,
        Hatching::Rising => Hatching::Crossed,
        Hatching::Falling | Hatching::Level => Hatching::Rising,
        Hatching::Crossed => Hatching::Level,
    };
    LayerLook { hatching, ..look }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Difference of two greys on a scale of 0 to 255 that is still seen in print; common practice, no source.
    const VISIBLE_DIFFERENCE: f64 = 20.0;

    /// Grey that a colour is printed as.
    ///
    /// # Source
    /// ITU-R BT.601-7, 2011, section 2.5.1: weights of the luminance signal.
    fn grey(colour: RGBColor) -> f64 {
        0.299 * f64::from(colour.0) + 0.587 * f64::from(colour.1) + 0.114 * f64::from(colour.2)
    }

    #[test]
    fn neighbouring_layers_differ_in_grey_print() {
        for pair in LAYERS.windows(2) {
            let difference = (grey(pair[0].fill) - grey(pair[1].fill)).abs();
            assert!(difference > VISIBLE_DIFFERENCE, "{pair:?}");
        }
    }

    #[test]
    fn no_two_series_share_a_shape() {
        for (position, look) in SERIES.iter().enumerate() {
            assert!(
                SERIES[..position]
                    .iter()
                    .all(|other| other.shape != look.shape)
            );
        }
    }

    #[test]
    fn layers_beyond_the_list_are_not_drawn_like_the_first_ones() {
        for position in 0..LAYERS.len() {
            assert_ne!(layer_look(position), layer_look(position + LAYERS.len()));
        }
    }
}
