//! How do all charts look?
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
pub(super) const MOST_RUN_NAMES: usize = 90;
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
/// Grid.
pub(super) const GRID: RGBColor = RGBColor(226, 229, 234);
/// Band of a fitted line.
pub(super) const BAND: RGBColor = RGBColor(214, 223, 233);
/// Single runs behind a mean.
pub(super) const QUIET_MARK: RGBColor = RGBColor(137, 156, 178);

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

const SERIES: [SeriesLook; 5] = [
    SeriesLook {
        shape: Shape::Circle,
        filling: Filling::Full,
        colour: RGBColor(27, 59, 94),
    },
    SeriesLook {
        shape: Shape::Square,
        filling: Filling::Open,
        colour: RGBColor(191, 120, 22),
    },
    SeriesLook {
        shape: Shape::Triangle,
        filling: Filling::Full,
        colour: RGBColor(126, 60, 98),
    },
    SeriesLook {
        shape: Shape::Diamond,
        filling: Filling::Open,
        colour: RGBColor(58, 128, 140),
    },
    SeriesLook {
        shape: Shape::Cross,
        filling: Filling::Full,
        colour: RGBColor(84, 84, 90),
    },
];

/// Look of a mean or an effect, which no single run has.
pub(super) const MEAN: SeriesLook = SeriesLook {
    shape: Shape::Diamond,
    filling: Filling::Full,
    colour: RGBColor(27, 59, 94),
};

/// Look of the series with this position; the list begins again after five.
pub(super) fn series_look(position: usize) -> SeriesLook {
    SERIES[position % SERIES.len()]
}

/// The lines across a layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hatching {
    Plain,
    Rising,
    Falling,
    Level,
    Crossed,
}

/// How one layer of a stack looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct LayerLook {
    pub(super) fill: RGBColor,
    pub(super) hatching: Hatching,
    pub(super) stroke: RGBColor,
}

const LAYERS: [LayerLook; 6] = [
    LayerLook {
        fill: RGBColor(33, 66, 102),
        hatching: Hatching::Plain,
        stroke: INK,
    },
    LayerLook {
        fill: RGBColor(150, 180, 208),
        hatching: Hatching::Plain,
        stroke: INK,
    },
    LayerLook {
        fill: RGBColor(250, 236, 209),
        hatching: Hatching::Rising,
        stroke: RGBColor(150, 88, 10),
    },
    LayerLook {
        fill: RGBColor(166, 110, 141),
        hatching: Hatching::Level,
        stroke: RGBColor(88, 34, 64),
    },
    LayerLook {
        fill: PAPER,
        hatching: Hatching::Plain,
        stroke: INK,
    },
    LayerLook {
        fill: RGBColor(228, 230, 234),
        hatching: Hatching::Crossed,
        stroke: SOFT_INK,
    },
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
        Hatching::Falling => Hatching::Rising,
        Hatching::Level => Hatching::Rising,
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
