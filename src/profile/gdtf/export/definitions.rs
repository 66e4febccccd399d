//! The attributes that channels use, as the standard's table has them.

use std::collections::{BTreeMap, BTreeSet};

use super::super::attributes::{self, Named};
use super::super::description::{
    ActivationGroup, AttributeDefinition, AttributeDefinitions, DmxMode, Feature, FeatureGroup,
};

/// Declares what the functions of modes use.
pub(super) fn definitions(modes: &[DmxMode]) -> AttributeDefinitions {
    let functions = modes.iter().flat_map(|mode| &mode.channels).flat_map(|c| c.functions());
    let used: BTreeSet<&str> = functions.map(|(_, function)| function.attribute()).collect();
    let known = used.iter().filter_map(|name| attributes::find(name).map(|named| (*name, named)));
    let mut made = AttributeDefinitions::default();
    let mut groups: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    let mut activations: BTreeSet<String> = BTreeSet::new();
    for (name, named) in known {
        let attribute = named.attribute;
        if let Some((group, feature)) = attribute.feature.split_once('.') {
            groups.entry(group).or_default().insert(feature);
        }
        let activation = numbered(attribute.activation, named);
        activations.extend(activation.clone());
        made.attributes.push(AttributeDefinition {
            name: Some(name.to_owned()),
            pretty: Some(name.to_owned()),
            activation_group: activation,
            feature: Some(attribute.feature.to_owned()),
            // A link to what is not declared would lead nowhere.
            main_attribute: numbered(attribute.main, named).filter(|m| used.contains(m.as_str())),
            physical_unit: Some(attribute.unit.clone()),
            ..AttributeDefinition::default()
        });
    }
    let group = |name: String| ActivationGroup { name: Some(name), ..ActivationGroup::default() };
    made.activation_groups = activations.into_iter().map(group).collect();
    let feature = |name: &&str| Feature { name: Some((*name).to_owned()), ..Feature::default() };
    made.feature_groups = groups
        .iter()
        .map(|(name, features)| FeatureGroup {
            name: Some((*name).to_owned()),
            pretty: Some((*name).to_owned()),
            features: features.iter().map(feature).collect(),
            ..FeatureGroup::default()
        })
        .collect();
    made
}

/// A name of the table with the number of an attribute in it; `None` for none.
fn numbered(name: &str, named: Named) -> Option<String> {
    (!name.is_empty()).then(|| name.replace("(n)", &named.n.to_string()))
}
