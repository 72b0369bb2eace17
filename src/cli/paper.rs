//! `paper`: every plate in true size on paper.

use serde_json::{Value, json};

use super::args::{PaperArgs, ShelfArgs};
use super::screen::Screen;
use super::{cautions, check, job};
use crate::export::Command;
use crate::export::paper::{Shows, Tiling};
use crate::fault::Outcome;
use crate::geometry::Point;
use crate::pipeline;
use crate::plate::Plate;
use crate::trade::cautions::{Caution, Made, applying};

pub(super) fn run(options: &PaperArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let job = job::job(&options.input, &shelf)?;
    let drawn = pipeline::draw(&job, &shelf).map_err(|it| options.into.with_picture(&job, it))?;
    let shows = if options.drill {
        Shows::HoleCentres
    } else {
        Shows::Plate
    };
    let (outputs, templates) = drawn.templates(&options.paper, shows)?;
    let pairs = drawn.plates.iter().zip(templates);
    let printed = pairs.map(|(plate, (file, template))| Printed {
        plate: plate.name.clone(),
        file: options.into.out.join(file).display().to_string(),
        pages: template.document.pages.len(),
        corner: plate.datum().place(template.tiling.corner),
        tiling: template.tiling,
    });
    let printed: Vec<Printed> = printed.collect();
    options.into.write(&outputs, Command::Paper, &job.files())?;
    let topics = drawn.plates.iter().flat_map(Plate::topics);
    let heed = applying(topics, &[Made::Template]);
    screen.result(
        || {
            json!({
                "schema": 1, "paper": options.paper.name,
                "templates": printed.iter().map(Printed::object).collect::<Vec<_>>(),
                "cautions": cautions::objects(&heed),
            })
        },
        || text(&printed, options.paper.name, &heed),
    )?;
    Ok(check::code(&drawn))
}

/// A template that was written.
struct Printed {
    plate: String,
    file: String,
    pages: usize,
    tiling: Tiling,
    /// Lower left corner of the lowest left tile, from the plate's datum.
    corner: Point,
}

impl Printed {
    fn object(&self) -> Value {
        let Tiling {
            page,
            columns,
            rows,
            cell,
            ..
        } = &self.tiling;
        let corner = self.corner;
        json!({
            "plate": self.plate, "file": self.file, "pages": self.pages,
            "page_width_mm": page.0, "page_height_mm": page.1,
            "columns": columns, "rows": rows,
            "cell_width_mm": cell.0, "cell_height_mm": cell.1,
            "corner_x_mm": corner.x, "corner_y_mm": corner.y,
        })
    }

    fn line(&self, paper: &str) -> String {
        let tiles = self.tiling.columns * self.tiling.rows;
        let on = match self.pages {
            1 => format!("one page of {paper}"),
            pages => format!("{pages} pages of {paper}, {tiles} of them tiles to join"),
        };
        format!("{}: {on}, in {}", self.plate, self.file)
    }
}

fn text(printed: &[Printed], paper: &str, heed: &[Caution]) -> String {
    let mut lines: Vec<String> = printed.iter().map(|it| it.line(paper)).collect();
    lines.push(
        "print at 100 %, do not fit; measure the bars on the print before you trust it".into(),
    );
    lines.extend(cautions::lines(heed));
    lines.join("\n")
}
