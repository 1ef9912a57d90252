//! Builds the table of the body from the text of `data/body/`: doubles sided rows, scales lengths to a stature.

use std::collections::BTreeMap;

use nalgebra::Vector3;
use serde::Deserialize;

use super::contacts::Group;
use super::table::{
    Body, ByName, CENTRAL, HINGES, Hinge, HingeId, Limb, LimbKind, Mass, PER_SIDE, Part, Patch,
    Sphere, SphereId, SurfaceRow, TABLE_TEXT,
};
use crate::words::BodySide;

impl Body {
    /// The standard build at another height; props keep theirs.
    pub fn of_stature(stature_m: f64) -> Body {
        let hinges: HingeFile = embedded(TABLE_TEXT[0]);
        let segments: SegmentFile = embedded(TABLE_TEXT[1]);
        let spheres: SphereFile = embedded(TABLE_TEXT[2]);
        let contacts: ContactFile = embedded(TABLE_TEXT[3]);
        let hinges = doubled(&hinges.hinges, stature_m);
        Builder { stature_m, hinges }.build(&segments, &spheres, contacts)
    }

    /// Sum of the segment masses in % before they are scaled to 100: a check that no row is missing.
    pub fn unscaled_mass_pct() -> f64 {
        let file: SegmentFile = embedded(TABLE_TEXT[1]);
        file.segments
            .iter()
            .map(|s| s.mean() * if s.sided { 2.0 } else { 1.0 })
            .sum()
    }
}

fn embedded<T: for<'a> Deserialize<'a>>(text: &str) -> T {
    serde_yaml::from_str(text).expect("the embedded table is read by a test")
}

/// x and z of an axis turn on the right side, y stays.
fn mirrored_axis(axis: Vector3<f64>) -> Vector3<f64> {
    Vector3::new(-axis.x, axis.y, -axis.z)
}

fn mirrored_place(place: Vector3<f64>) -> Vector3<f64> {
    Vector3::new(place.x, -place.y, place.z)
}

fn doubled(rows: &[HingeRow], stature_m: f64) -> Vec<Hinge> {
    let one = |row: &HingeRow, on: usize, right: bool| {
        let (at, axis) = (Vector3::from(row.at) * stature_m, Vector3::from(row.axis));
        Hinge {
            name: row.name.clone(),
            on,
            at: if right { mirrored_place(at) } else { at },
            axis: if right { mirrored_axis(axis) } else { axis },
            limits: (row.limits_deg.0.to_radians(), row.limits_deg.1.to_radians()),
            rest: row.rest_deg.to_radians(),
            slack: row.slack_deg.to_radians(),
            strength_nm: row.strength_nm,
            flips: false,
        }
    };
    let part_of = |name: &str| match name {
        "pelvis" => 0,
        _ => {
            1 + rows
                .iter()
                .position(|r| r.name == name)
                .expect("a hinge is carried by an earlier one")
        }
    };
    let mut all: Vec<Hinge> = rows
        .iter()
        .map(|row| one(row, part_of(&row.on), false))
        .collect();
    for hinge in &mut all[..CENTRAL] {
        hinge.flips = !hinge.name.ends_with(".flex");
    }
    for row in &rows[CENTRAL..] {
        let left = part_of(&row.on);
        all.push(one(
            row,
            if left > CENTRAL {
                left + PER_SIDE
            } else {
                left
            },
            true,
        ));
    }
    assert_eq!(all.len(), HINGES, "the hinge table and its constants agree");
    all
}

struct Builder {
    stature_m: f64,
    hinges: Vec<Hinge>,
}

impl Builder {
    fn part(&self, name: &str, side: Option<BodySide>) -> usize {
        if name == "pelvis" {
            return 0;
        }
        (0..HINGES)
            .find(|&i| self.hinges[i].name == name && (i < CENTRAL || HingeId(i).side() == side))
            .map(|i| i + 1)
            .expect("the table names its own hinges")
    }

    fn build(
        self,
        segments: &SegmentFile,
        sphere_file: &SphereFile,
        contacts: ContactFile,
    ) -> Body {
        let sides = |sided: bool| -> &'static [Option<BodySide>] {
            if sided {
                &[Some(BodySide::Left), Some(BodySide::Right)]
            } else {
                &[None]
            }
        };
        let place = |centre: [f64; 3], side: Option<BodySide>| {
            let left = Vector3::from(centre) * self.stature_m;
            if side == Some(BodySide::Right) {
                mirrored_place(left)
            } else {
                left
            }
        };
        let total = Body::unscaled_mass_pct();
        let mut masses = Vec::new();
        for row in &segments.segments {
            for &side in sides(row.sided) {
                masses.push(Mass {
                    name: row.name.clone(),
                    on: self.part(&row.on, side),
                    share: row.mean() / total,
                    centre: place(row.centre, side),
                });
            }
        }
        let mut spheres = Vec::new();
        for row in &sphere_file.spheres {
            for &side in sides(row.sided) {
                spheres.push(Sphere {
                    name: row.name.clone(),
                    side,
                    on: self.part(&row.on, side),
                    centre: place(row.centre, side),
                    radius: row.radius * self.stature_m,
                });
            }
        }
        let by_name = ByName::new(&spheres);
        let both = |name: &str| -> Vec<SphereId> {
            [None, Some(BodySide::Left), Some(BodySide::Right)]
                .iter()
                .filter_map(|side| by_name.get(name, *side))
                .collect()
        };
        let mut chains = vec![Vec::new()];
        for (i, hinge) in self.hinges.iter().enumerate() {
            let mut chain: Vec<usize> = chains[hinge.on].clone();
            chain.push(i);
            chains.push(chain);
        }
        let patches = contacts
            .patches
            .into_iter()
            .map(|(name, row)| {
                let sided = row
                    .spheres
                    .iter()
                    .all(|s| by_name.get(s, Some(BodySide::Left)).is_some());
                (
                    name,
                    Patch {
                        spheres: row.spheres,
                        group: row.counts_as,
                        sided,
                    },
                )
            })
            .collect();
        let surfaces = contacts
            .surfaces
            .into_iter()
            .map(|(name, row)| {
                let faces_forward = row.faces == Some(Faces::Forward);
                (
                    name,
                    SurfaceRow {
                        height_m: row.height_m,
                        faces_forward,
                        friction: row.friction,
                    },
                )
            })
            .collect();
        let mut limbs = Vec::new();
        for row in &contacts.limbs {
            for side in [BodySide::Left, BodySide::Right] {
                let at = |name: &str| by_name.get(name, Some(side)).expect("limbs end in spheres");
                limbs.push(Limb {
                    from: at(&row.from),
                    to: at(&row.to),
                    radius: row.radius * self.stature_m,
                    side,
                    kind: row.name,
                });
            }
        }
        let mut kept_apart = Vec::new();
        for (names, part) in [
            (&contacts.keep_apart.trunk, None),
            (
                &contacts.keep_apart.arm,
                Some(Part::Arm as fn(BodySide) -> Part),
            ),
            (
                &contacts.keep_apart.leg,
                Some(Part::Leg as fn(BodySide) -> Part),
            ),
        ] {
            for sphere in names.iter().flat_map(|n| both(n)) {
                let side = spheres[sphere.0].side;
                let part = match (part, side) {
                    (Some(part), Some(side)) => part(side),
                    _ => Part::Trunk,
                };
                kept_apart.push((sphere, part));
            }
        }
        let rests_on_leg = contacts.rests_on_leg.iter().flat_map(|n| both(n)).collect();
        Body {
            stature_m: self.stature_m,
            hinges: self.hinges,
            chains,
            masses,
            spheres,
            by_name,
            patches,
            surfaces,
            any_height_friction: contacts.any_height_friction,
            head_friction: contacts.head_friction,
            limbs,
            kept_apart,
            rests_on_leg,
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HingeFile {
    hinges: Vec<HingeRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HingeRow {
    name: String,
    on: String,
    at: [f64; 3],
    axis: [f64; 3],
    #[serde(rename = "positive")]
    _positive: String,
    limits_deg: (f64, f64),
    rest_deg: f64,
    slack_deg: f64,
    strength_nm: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SegmentFile {
    segments: Vec<SegmentRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SegmentRow {
    name: String,
    on: String,
    mass_pct: [f64; 2],
    centre: [f64; 3],
    sided: bool,
}

impl SegmentRow {
    fn mean(&self) -> f64 {
        (self.mass_pct[0] + self.mass_pct[1]) / 2.0
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SphereFile {
    spheres: Vec<SphereRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SphereRow {
    name: String,
    on: String,
    centre: [f64; 3],
    radius: f64,
    sided: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ContactFile {
    patches: BTreeMap<String, PatchRow>,
    surfaces: BTreeMap<String, SurfaceFileRow>,
    any_height_friction: f64,
    head_friction: f64,
    limbs: Vec<LimbRow>,
    keep_apart: KeepApart,
    rests_on_leg: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PatchRow {
    spheres: Vec<String>,
    counts_as: Group,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SurfaceFileRow {
    height_m: Option<f64>,
    faces: Option<Faces>,
    friction: f64,
}

#[derive(Deserialize, PartialEq)]
#[serde(rename_all = "lowercase")]
enum Faces {
    Back,
    Forward,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimbRow {
    name: LimbKind,
    from: String,
    to: String,
    radius: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct KeepApart {
    trunk: Vec<String>,
    arm: Vec<String>,
    leg: Vec<String>,
}
