//! The things that a job names: what must be fetched before it can be measured and priced.

use super::{Job, Layer, Masonry};
use crate::id::{MaterialId, MixId};

impl Job {
    /// Every mix that it names, each once, in the order in which the job comes to them.
    pub fn mixes(&self) -> Vec<MixId> {
        let layers = |layers: &[Layer]| -> Vec<MixId> {
            layers.iter().map(|layer| layer.mix.clone()).collect()
        };
        let mut named = Names::default();
        for build in &self.builds {
            named.add(build.mix.iter().chain(&build.mortar).cloned());
        }
        if let Some(stem) = &self.stem_wall {
            named.add([match &stem.masonry {
                Masonry::StoneInMortar { mortar, .. } => mortar.clone(),
                Masonry::Bags { fill, .. } => fill.clone(),
            }]);
        }
        named.add(self.trench.iter().map(|trench| trench.fill.clone()));
        for finish in self.works.iter().flat_map(|work| &work.finishes) {
            named.add(layers(&finish.coats));
        }
        for floor in &self.floors {
            named.add(layers(&floor.layers));
        }
        for oven in &self.ovens {
            named.add(layers(&oven.base_layers));
            named.add(layers(&oven.layers));
            named.add(oven.form.clone());
        }
        named.0
    }

    /// Every material that it names itself, each once, in the order in which the job comes to them; those of its mixes
    /// are the mixes' own business.
    pub fn materials(&self) -> Vec<MaterialId> {
        let mut named = Names::default();
        for build in &self.builds {
            named.add(build.piece.clone());
            named.add(build.tie.iter().map(|tie| tie.material.clone()));
            let lattice = build.staves.iter().chain(&build.rods);
            named.add(lattice.map(|lattice| lattice.material.clone()));
            named.add(build.form.iter().map(|form| form.material.clone()));
        }
        if let Some(stem) = &self.stem_wall {
            named.add([match &stem.masonry {
                Masonry::StoneInMortar { stone, .. } => stone.clone(),
                Masonry::Bags { bag, .. } => bag.clone(),
            }]);
            named.add(stem.damp_course.clone());
        }
        if let Some(trench) = &self.trench {
            named.add(trench.drain.iter().chain(&trench.fabric).cloned());
        }
        for work in &self.works {
            for opening in &work.openings {
                named.add(opening.lintel.iter().map(|lintel| lintel.material.clone()));
                let set_in = opening.sill.iter().chain(&opening.frame);
                named.add(set_in.chain(&opening.arch_form).cloned());
            }
            named.add(
                work.buried
                    .iter()
                    .filter_map(|buried| buried.material.clone()),
            );
        }
        for floor in &self.floors {
            named.add(floor.sheet.iter().map(|sheet| sheet.material.clone()));
        }
        named.add(self.ground.iter().filter_map(|ground| ground.tip.clone()));
        named.0
    }
}

/// Ids, each once.
struct Names<I>(Vec<I>);

impl<I> Default for Names<I> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<I: PartialEq> Names<I> {
    fn add(&mut self, ids: impl IntoIterator<Item = I>) {
        for id in ids {
            if !self.0.contains(&id) {
                self.0.push(id);
            }
        }
    }
}
