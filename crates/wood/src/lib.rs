//! Wood: species, weight, moisture, movement and cautions, every value with its source.
//!
//! This crate knows no geometry. It answers from tables that are built in (`data/`), and from the formulas of the
//! *Wood Handbook* (FPL-GTR-190, USDA Forest Products Laboratory, 2010). Every value says where it was seen, or that it
//! was written down from memory, and carries a spread, because wood differs from tree to tree.
//!
//! Conventions: moisture content is in percent of the ovendry mass, shrinkage in percent of the green size from green to
//! ovendry, relative humidity in percent, temperature in degrees Celsius, strength and stiffness in MPa. A spread is one
//! standard deviation between trees, widened where sources disagree.
//!
//! ```
//! let maple = rondure_wood::find("maple, sugar")?;
//! assert_eq!(maple.name, "sugar maple");
//! // How much a ring turned green loses across and along the growth rings once it stands in a heated room.
//! let room = rondure_wood::equilibrium_moisture(21.0, 40.0)?;
//! let movement = maple.movement(30.0, room)?;
//! assert!(movement.tangential.ratio < movement.radial.ratio);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod assemble;
mod cautions;
mod density;
mod elastic;
mod find;
mod list;
mod moisture;
mod movement;
mod sourced;
mod species;
mod strength;
mod table;

pub use cautions::{
    Caution, Incidence, NOT_EVIDENCE_OF_SAFETY, Part, Reaction, Site, Statement, dust_advice,
};
pub use density::{Density, DensityError, Mass, greatest_moisture, specific_gravity_at};
pub use elastic::{ALONG_OVER_BENDING, Elastic};
pub use find::{UnknownWood, find};
pub use list::{ListRow, list};
pub use moisture::{ClimateOutOfRange, equilibrium_moisture};
pub use movement::{
    CoefficientOutOfRange, LONGITUDINAL_SHRINKAGE, Movement, MovementError, Resize,
    change_by_coefficient, coefficient_from_shrinkage, resize_ratio, shrinkage_at,
    shrinkage_from_coefficient,
};
pub use sourced::{Sourced, Status};
pub use species::{Wood, woods};
pub use strength::{End, ONE_IN_TWENTY, ROLLING_SHARE, Range, Strength, at_moisture};
