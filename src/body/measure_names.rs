//! The names of all measures, their units and whether they have sides.
//!
//! The body computes most of them; what it cannot know (effort, level, breath, time) is added by the
//! library and by the class, under the same names.

use std::fmt;

use serde::{Deserialize, Serialize};

macro_rules! measures {
    ($($(#[$doc:meta])* $variant:ident = $text:literal $sided:literal),+ $(,)?) => {
        /// A number that rules speak of.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        pub enum Measure { $($(#[$doc])* #[serde(rename = $text)] $variant),+ }

        impl Measure {
            /// Every measure, in the order of the contract.
            pub const ALL: &'static [Measure] = &[$(Measure::$variant),+];

            /// The name as written in files and JSON.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $text),+ }
            }

            /// The measure of a name, if it is one.
            pub fn parse(name: &str) -> Option<Self> {
                match name { $($text => Some(Self::$variant),)+ _ => None }
            }

            /// Whether it is told for the left and the right.
            pub const fn is_sided(self) -> bool {
                match self { $(Self::$variant => $sided),+ }
            }
        }
    };
}

measures! {
    /// Knee bend.
    KneeFlexion = "knee_flexion_deg" true,
    /// Shin turned outward against the thigh; meant only where authored.
    KneeRotation = "knee_rotation_deg" true,
    /// Thigh forward.
    HipFlexion = "hip_flexion_deg" true,
    /// Thigh back.
    HipExtension = "hip_extension_deg" true,
    /// Thigh out.
    HipAbduction = "hip_abduction_deg" true,
    /// Thigh across.
    HipAdduction = "hip_adduction_deg" true,
    /// Thigh turned outward.
    HipExternalRotation = "hip_external_rotation_deg" true,
    /// Thigh turned inward.
    HipInternalRotation = "hip_internal_rotation_deg" true,
    /// Foot pointed.
    AnklePlantarflexion = "ankle_plantarflexion_deg" true,
    /// Toes drawn up.
    AnkleDorsiflexion = "ankle_dorsiflexion_deg" true,
    /// Toes bent back.
    ToeExtension = "toe_extension_deg" true,
    /// Hand bent back.
    WristExtension = "wrist_extension_deg" true,
    /// Hand bent towards the palm.
    WristFlexion = "wrist_flexion_deg" true,
    /// Hand bent towards the little finger; negative towards the thumb.
    WristDeviation = "wrist_deviation_deg" true,
    /// Elbow bend.
    ElbowFlexion = "elbow_flexion_deg" true,
    /// Upper arm from hanging, 0 to 180.
    ShoulderElevation = "shoulder_elevation_deg" true,
    /// Forward part of that swing.
    ShoulderFlexion = "shoulder_flexion_deg" true,
    /// Outward part of that swing.
    ShoulderAbduction = "shoulder_abduction_deg" true,
    /// Backward part of that swing.
    ShoulderExtension = "shoulder_extension_deg" true,
    /// Low and upper back bent forward.
    SpineFlexion = "spine_flexion_deg" false,
    /// Low and upper back bent backward.
    SpineExtension = "spine_extension_deg" false,
    /// Low and upper back bent sideways.
    SpineSideBend = "spine_side_bend_deg" false,
    /// Low and upper back turned.
    SpineRotation = "spine_rotation_deg" false,
    /// Low back bent forward; negative backward.
    LowBackFlexion = "low_back_flexion_deg" false,
    /// Upper back bent forward; negative backward.
    UpperBackFlexion = "upper_back_flexion_deg" false,
    /// Chin towards the chest.
    NeckFlexion = "neck_flexion_deg" false,
    /// Head back.
    NeckExtension = "neck_extension_deg" false,
    /// Ear towards a shoulder.
    NeckSideBend = "neck_side_bend_deg" false,
    /// Face turned.
    NeckRotation = "neck_rotation_deg" false,
    /// Normal force on the hand.
    HandLoad = "hand_load_pct" true,
    /// Normal force on the forearm.
    ForearmLoad = "forearm_load_pct" true,
    /// Normal force on the shoulder or upper arm.
    ShoulderLoad = "shoulder_load_pct" true,
    /// Normal force on the knee and shin, front down.
    KneeLoad = "knee_load_pct" true,
    /// Normal force on the thigh and calf.
    LegLoad = "leg_load_pct" true,
    /// Normal force on the foot.
    FootLoad = "foot_load_pct" true,
    /// Normal force on the head.
    HeadLoad = "head_load_pct" false,
    /// Normal force on the neck.
    NeckLoad = "neck_load_pct" false,
    /// Normal force on the back.
    BackLoad = "back_load_pct" false,
    /// Normal force on belly, chest and front of the hips.
    BellyLoad = "belly_load_pct" false,
    /// Normal force on the seat.
    SeatLoad = "seat_load_pct" false,
    /// Push of a hand or forearm on a wall.
    HandWallLoad = "hand_wall_load_pct" true,
    /// Push of a foot, knee or leg on a wall.
    FootWallLoad = "foot_wall_load_pct" true,
    /// Push of back, seat, shoulders or head on a wall.
    BackWallLoad = "back_wall_load_pct" false,
    /// How far the split of the loads moves under other contact prices.
    LoadSpread = "load_spread_pct" false,
    /// Height of the heart above the centre of the head; negative when the head is higher.
    HeadBelowHeart = "head_below_heart_cm" false,
    /// Height of the lower ankle above the heart.
    LegsRaised = "legs_raised_cm" false,
    /// Hip line to C7 against the vertical: 0 upright, 90 face down, -90 face up.
    TrunkPitch = "trunk_pitch_deg" false,
    /// Centre of mass inside the base; absent when leaning on a wall.
    SupportMargin = "support_margin_cm" false,
    /// 1 when one foot alone carries, else 0.
    SingleLeg = "single_leg" false,
    /// Where the body is; a word, added by the library.
    Level = "level" false,
    /// Effort in multiples of rest, from published tables; added by the library.
    EffortMet = "effort_met" false,
    /// 1 when the knee lies on a blanket; added by the library.
    KneePadded = "knee_padded" false,
    /// Authored: the breath is held.
    BreathHeld = "breath_held" false,
    /// Authored: the breath is changed.
    BreathChanged = "breath_changed" false,
    /// Authored: the eyes are closed.
    EyesClosed = "eyes_closed" false,
    /// Authored: strong belly work.
    TrunkEffort = "trunk_effort" false,
    /// Authored: the belly is pressed.
    BellyPressed = "belly_pressed" false,
    /// Seconds of the step.
    Hold = "hold_s" false,
    /// Seconds of the unbroken run.
    Bout = "bout_s" false,
    /// Seconds in the whole class.
    Class = "class_s" false,
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_reads_back() {
        for &measure in Measure::ALL {
            assert_eq!(Measure::parse(measure.as_str()), Some(measure));
        }
    }
}
